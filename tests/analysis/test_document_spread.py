"""How well a value is known sets its standard deviation, in SI."""
from __future__ import annotations

import math
from typing import Any

import pytest

from analysis.catalogue import QUESTIONS
from analysis.document import Answer, parse_case


def answer(document: dict[str, Any], path: str) -> Answer:
    found = parse_case(document).answer(path)
    assert found is not None
    return found


@pytest.mark.parametrize(("known", "factor"), [
    ("measured", 1), ("documented", 1), ("remembered", 3), ("guessed", 6),
])
def test_a_guess_is_six_times_as_wide_as_a_measurement(known: str, factor: int) -> None:
    mass = answer({"bike": {"mass_kg": {"value": 200, "known": known}}}, "bike.mass_kg")
    spread = QUESTIONS["bike.mass_kg"].spread
    assert mass.sd == pytest.approx(factor * math.hypot(spread.absolute, spread.relative * 200))
    assert mass.known == known


def test_a_spread_is_in_si_and_belongs_to_the_value_not_to_the_unit_typed() -> None:
    typed = [200, "200 mm", "20 cm", {"value": "0.2 m", "known": "documented"}]
    spreads = [answer({"fork": {"travel_mm": raw}}, "fork.travel_mm").sd for raw in typed]
    assert spreads == pytest.approx([0.001 * QUESTIONS["fork.travel_mm"].spread.absolute] * 4)


def test_a_temperature_has_a_spread_without_the_zero_point() -> None:
    warm = answer({"use": {"temperature_c": "68 °F"}}, "use.temperature_c")
    assert warm.value == pytest.approx(293.15)
    assert warm.sd == pytest.approx(QUESTIONS["use.temperature_c"].spread.absolute)


def test_a_bare_value_is_measured_on_the_bench_and_from_papers_elsewhere() -> None:
    document = {"fork": {"travel_mm": 140}, "bench": {"travel": {"used_mm": 101}}}
    assert answer(document, "fork.travel_mm").known == "documented"
    assert answer(document, "bench.travel.used_mm").known == "measured"


def test_how_a_choice_is_known_is_kept() -> None:
    found = answer({"bench": {"push": {"rear_wheel": {"value": "lifts", "known": "guessed"}}}}, "bench.push.rear_wheel")
    assert (found.value, found.known, found.sd) == ("lifts", "guessed", 0.0)


@pytest.mark.parametrize("raw", [
    None, "unknown", {"known": "unknown"}, {"value": None}, {"value": None, "known": "guessed"},
    {"value": None, "known": "unknown"},
])
def test_unknown_is_an_answer_and_never_a_number(raw: object) -> None:
    case = parse_case({"bike": {"mass_kg": raw, "kind": raw}, "safety": {"stuck_down": raw}})
    assert case.unknown == {"bike.mass_kg", "bike.kind", "safety.stuck_down"}
    assert not case.answers and not case.doubts


def test_a_value_marked_unknown_is_left_out_and_asked_back() -> None:
    case = parse_case({"bike": {"mass_kg": {"value": 200, "known": "unknown"}}})
    assert case.unknown == {"bike.mass_kg"} and not case.answers
    assert [doubt.path for doubt in case.doubts] == ["bike.mass_kg"]


def test_what_was_not_asked_is_neither_known_nor_unknown() -> None:
    case = parse_case({"fork": {"left": {"oil_level_mm": 110}, "right": None}})
    assert case.value("fork.right.oil_level_mm") is None and not case.unknown
    assert case.value("fork.right.oil_level_mm", 5.0) == 5.0


def test_a_case_without_an_answer_still_has_the_others() -> None:
    case = parse_case({"fork": {"travel_mm": 140, "friction_n": 60}})
    less = case.without("fork.travel_mm")
    assert less.value("fork.travel_mm") is None and less.number("fork.friction_n") == 60
    assert case.number("fork.travel_mm") == pytest.approx(0.14)


@pytest.mark.parametrize(("raw", "value"), [
    ("sealed cartridge", "sealed cartridge"), ("sealed_cartridge", "sealed cartridge"),
    ("Sealed Cartridge", "sealed cartridge"), ("Damper rod", "damper rod"),
])
def test_a_choice_is_understood_in_any_spelling(raw: str, value: str) -> None:
    assert answer({"fork": {"damper": raw}}, "fork.damper").value == value


def test_many_answers_are_kept_once_each() -> None:
    found = answer({"complaint": {"symptoms": ["dives", "stops_hard", "dives"]}}, "complaint.symptoms")
    assert found.value == ("dives", "stops hard")


@pytest.mark.parametrize(("raw", "value"), [(True, True), ("yes", True), ("No", False), (False, False)])
def test_yes_and_no_can_be_words(raw: object, value: bool) -> None:
    assert answer({"service": {"pumped": raw}}, "service.pumped").value is value
