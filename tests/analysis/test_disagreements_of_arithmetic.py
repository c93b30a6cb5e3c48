"""Two answers that cannot both be right are named as a pair, with the question that would settle it."""
from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from analysis.disagreements import Disagreement, disagreements
from analysis.document import parse_case
from analysis.inputs import read_inputs
from analysis.posterior import assess
from tests.reference_fork import Document, case


def found(document: Document) -> tuple[Disagreement, ...]:
    told = parse_case(document)
    inputs = read_inputs(told)
    return disagreements(told, inputs, assess(told, inputs, np.random.default_rng(1), 60))


def sag(**readings: float) -> Document:
    return case({"oil_level_mm": 140}, bench={"sag": readings})


def test_readings_taken_in_the_wrong_order_are_asked_for_again() -> None:
    (one,) = found(sag(extended_mm=150, rider_from_below_mm=118, rider_from_above_mm=108))
    assert one.between == ("rider sag from below", "rider sag from above")
    assert "(118 mm)" in one.words and "(108 mm)" in one.words and "swapped" in one.ask
    assert one.paths == ("bench.sag.rider_from_below_mm", "bench.sag.rider_from_above_mm")
    assert found(sag(extended_mm=150, rider_from_below_mm=108, rider_from_above_mm=118)) == ()


def test_a_rider_can_only_push_it_deeper() -> None:
    (one,) = found(sag(free_sag_mm=45, rider_sag_mm=25))
    assert one.between == ("free sag", "rider sag") and "45 mm" in one.words and "25 mm" in one.words
    assert found(sag(free_sag_mm=25, rider_sag_mm=38)) == ()


@pytest.mark.parametrize(("used", "named"), [(156, True), (147, False)])
def test_no_more_travel_is_used_than_there_is(used: float, named: bool) -> None:
    said = found(case({"oil_level_mm": 140}, bench={"travel": {"used_mm": used}}))
    assert [one.between for one in said] == ([("travel used", "full stroke")] if named else [])


# Arithmetic: level 42 mm leaves −29.0 ml, so the leg is solid at 140 − 29.0/1.3203 = 118 mm.
def test_the_tie_cannot_go_beyond_where_the_oil_is_solid() -> None:
    said = found(case({"oil_level_mm": 42}, {"oil_level_mm": 140}, bench={"travel": {"used_mm": 136}}))
    assert [one.paths for one in said] == [("bench.travel.used_mm", "fork.left.oil_level_mm")]
    assert "solid at 118 mm" in said[0].words
    assert found(case({"oil_level_mm": 42}, {"oil_level_mm": 140}, bench={"travel": {"used_mm": 115}})) == ()


@pytest.mark.parametrize(("bike", "named"), [
    ({"front_load_kg": 98}, False), ({"front_load_kg": 112, "front_share": 0.49}, True),
    ({"front_load_kg": 104, "front_share": 0.49}, False), ({"front_load_kg": 130, "front_share": None}, True),
    ({"front_load_kg": 60, "front_share": None}, True), ({"front_load_kg": 120, "front_share": None}, False),
    ({"front_load_kg": 70, "front_share": None}, False)])
def test_a_weighed_front_fits_the_bikes_mass(bike: dict[str, Any], named: bool) -> None:
    said = found(case({"oil_level_mm": 140}, bike=bike))
    assert [one.between for one in said] == ([("load on the front wheel", "mass of the bike")] if named else [])


def test_a_number_no_fork_explains_is_named_with_its_rival() -> None:
    (one,) = found(sag(free_sag_mm=25, rider_sag_mm=75))
    assert one.between == ("Rider sag", "Free sag")
    assert "once more, from the same marks, and tell us how: Rider sag." in one.ask


# Arithmetic: a guessed tie is good to 6 × 3 mm, so 9 mm between the legs are no contradiction.
def test_a_tie_that_was_only_guessed_contradicts_nothing() -> None:
    def of_the_ties(other: object) -> list[Disagreement]:
        told = case({"oil_level_mm": 140}, bench={"travel": {"used_mm": 101, "other_leg_mm": other}})
        return [one for one in found(told) if "travel used, the other leg" in one.between]

    assert of_the_ties(92) and not of_the_ties({"value": 92, "known": "guessed"})


def test_a_number_that_stands_alone_contradicts_no_other() -> None:
    assert found({"bench": {"push": {"slow_stroke_mm": 200}}}) == ()


def test_each_pair_names_the_questions_that_its_answers_stand_in() -> None:
    for beyond in (146, 175):  # of 140 mm; said once, not twice and not never
        assert len([one for one in found(sag(rider_sag_mm=beyond)) if "full stroke" in one.words]) == 1
    (deep,) = [one for one in found(sag(rider_sag_mm=95)) if "60 %" in one.words or "68 %" in one.words]
    assert set(deep.paths) == {"fork.travel_mm", *(f"bench.sag.{name}_mm" for name in (
        "rider_sag", "extended", "rider_from_below", "rider_from_above"))}
    (heavy,) = found(case({"oil_level_mm": 140}, bike={"front_load_kg": 130, "front_share": None}))
    assert heavy.paths == ("bike.front_load_kg", "bike.mass_kg")


@pytest.mark.parametrize(("symptom", "words"), [
    ("bottoms out", "You say it bottoms out, but"), ("clanks at the end", "You say it ends with a clank, but")])
def test_an_end_that_is_felt_far_from_the_end_is_asked_back_as_it_was_told(symptom: str, words: str) -> None:
    said = found(case({"oil_level_mm": 140}, complaint={"symptoms": [symptom]}, bench={"travel": {"used_mm": 95}}))
    assert [one.words for one in said if one.words.startswith(words) and "45 mm left unused" in one.words]
