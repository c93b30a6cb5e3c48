"""A tuner's own numbers take the place of the advised ones, and what speaks against them is found at once."""
from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from analysis import analyse, parse_case
from analysis.chosen import read_chosen
from analysis.estimates import MM
from analysis.what_if import Conditions, what_if
from tests.reference_fork import case

OIL, PRELOAD, SPRING = "over-filled", "too much preload", "spring too stiff"
FULL = {"oil_level_mm": 60}
UNREAD: dict[str, Any] = {"oil_level_mm": None, "oil_level_book_mm": None, "oil_volume_book_ml": None}


def tried(numbers: dict[str, Any], cause: str | None = OIL, both: dict[str, Any] | None = None,
          **parts: Any) -> dict[str, Any]:
    return what_if(case(both or FULL, **parts), {}, cause, read_chosen(numbers))


def kinds(numbers: dict[str, Any], cause: str | None = OIL, both: dict[str, Any] | None = None, **parts: Any,
          ) -> list[tuple[str, str]]:
    return [(one["kind"], one["side"]) for one in tried(numbers, cause, both, **parts)["objections"]]


def test_levels_of_a_tuners_own_move_the_advised_set_and_its_sheet_and_nothing_else() -> None:
    engines, own = tried({}), tried({"level_left_mm": 150, "level_right_mm": 145})
    assert own["fork"]["usable_stroke_mm"]["found"] == engines["fork"]["usable_stroke_mm"]["found"]
    assert own["fork"]["left"]["advised"]["air_volume_compressed_ml"] == pytest.approx(1.01788 * 150 - 71.7, abs=0.1)
    sheet = own["service"]
    assert (sheet["left"]["level_to_set_mm"], sheet["right"]["level_to_set_mm"]) == (150.0, 145.0)
    # (150 − 60) mm and (145 − 60) mm of a 36 mm bore: arithmetic.
    assert sheet["left"]["draw_off_ml"] == pytest.approx(91.6, abs=0.1)
    assert sheet["right"]["draw_off_ml"] == pytest.approx(86.5, abs=0.1)
    assert own["numbers"]["chosen"]["draw_off_left_ml"] == sheet["left"]["draw_off_ml"]


@pytest.mark.parametrize(("name", "value", "amount"), [
    ("oil_level_mm", 60, "draw_off_ml"), ("oil_level_book_mm", 140, "dry_fill_ml"),
    ("oil_volume_book_ml", 520, "dry_fill_ml"), ("bore_diameter_mm", 36, "draw_off_ml"),
    ("inner_parts_area_mm2", 90, "draw_off_ml"), ("steel_volume_ml", 72, "air_volume_ml"),
    ("cap_intrusion_ml", 8, "air_volume_ml")])
def test_what_was_only_guessed_makes_the_sheets_amounts_less_sure(name: str, value: float, amount: str) -> None:
    sure, guessed = (tried({"level_left_mm": 150, "level_right_mm": 150}, OIL, FULL | {name: {
        "value": value, "known": known}})["service"]["left"] for known in ("measured", "guessed"))
    assert guessed[amount] == sure[amount]
    assert guessed["spread"][amount] > 1.1 * sure["spread"][amount]


def test_papers_that_are_only_guessed_at_make_what_is_drawn_off_less_sure() -> None:
    sure, guessed = (tried({}, OIL, FULL | {"oil_level_book_mm": {"value": 140, "known": known}})["service"]["left"]
                     for known in ("documented", "guessed"))
    assert guessed["spread"]["draw_off_ml"] > 1.1 * sure["spread"]["draw_off_ml"]


# Arithmetic: 600 ml that came out pumped were 631.6 ml, 111.6 more than the papers'; 10 mm lower are 10.2 ml more.
def test_oil_known_by_its_amount_is_drawn_off_to_a_tuners_own_level() -> None:
    drained: dict[str, Any] = {"oil_level_mm": None, "drained_ml": 600}
    papers, lower = (tried(numbers, OIL, drained, service={"pumped": True})["service"]["left"]
                     for numbers in ({}, {"level_left_mm": 150}))
    assert papers["draw_off_ml"] == pytest.approx(111.6, abs=0.1)
    assert lower["draw_off_ml"] == pytest.approx(111.6 + 10.2, abs=0.1)
    assert papers["spread"]["draw_off_ml"] == pytest.approx(15.4, rel=0.25)


def test_a_stroke_that_was_only_guessed_makes_the_ratio_less_sure() -> None:
    sure, guessed = (tried({"level_left_mm": 150}, fork={"travel_mm": {"value": 140, "known": known}})
                     ["service"]["left"]["spread"]["ratio"] for known in ("measured", "guessed"))
    assert guessed > 1.01 * sure


def test_the_three_sets_of_numbers_stand_side_by_side() -> None:
    numbers = tried({"turns": -2}, PRELOAD, {"oil_level_mm": 140, "preload_turns_in": 6})["numbers"]
    assert numbers["found"]["turns"] == 0.0 and numbers["chosen"]["turns"] == -2.0
    assert numbers["engines"]["level_left_mm"] == 140.0
    assert numbers["found"]["rate_n_per_mm"] == numbers["chosen"]["rate_n_per_mm"] == 8.5


@pytest.mark.parametrize("cause", [OIL, PRELOAD, SPRING])
def test_without_a_number_of_a_tuners_own_the_engines_stand(cause: str) -> None:
    sag = {"sag": {"rider_sag_mm": 25}}
    numbers = tried({}, cause, {"oil_level_mm": 60, "preload_turns_in": 6}, bench=sag)["numbers"]
    assert numbers["chosen"] == numbers["engines"] != numbers["found"]


def test_turns_and_rate_move_the_advised_curve() -> None:
    right = {"oil_level_mm": 140}
    softer = tried({"rate_n_per_mm": 7}, SPRING, right)["fork"]["rider_sag_mm"]
    stiffer = tried({"rate_n_per_mm": 10}, SPRING, right)["fork"]["rider_sag_mm"]
    assert softer["advised"] > softer["found"] > stiffer["advised"]
    out = tried({"turns": -3}, PRELOAD, right)["fork"]["rider_sag_mm"]
    # Where springs alone carry, a turn of 1.25 mm less preload is about as much more sag.
    assert out["advised"] - out["found"] == pytest.approx(3 * 1.25, rel=0.2)


def test_a_spring_that_stands_in_the_right_leg_alone_is_the_one_whose_rate_counts() -> None:
    told = case({"oil_level_mm": 140, "spring": None}, {"spring": {"rate_n_per_mm": 17}},
                fork={"damper": "separate function"})
    own = analyse(parse_case(told), np.random.default_rng(3), read_chosen({"rate_n_per_mm": 15}), SPRING).as_document()
    assert "17" in own["advice"][0]["steps"][0], own["advice"][0]["steps"]


def test_numbers_that_can_be_advised_meet_no_objection() -> None:
    assert kinds({"level_left_mm": 150, "level_right_mm": 150}) == []
    assert kinds({"turns": -2}, PRELOAD, {"oil_level_mm": 140, "preload_turns_in": 6}) == []


@pytest.mark.parametrize("level, kind", [(65, "lock"), (90, "spare"), (129, "over-filled")])
def test_too_much_oil_is_refused_in_the_leg_it_is_in(level: float, kind: str) -> None:
    assert (kind, "left") in kinds({"level_left_mm": level, "level_right_mm": 140})
    assert not [side for _, side in kinds({"level_left_mm": level, "level_right_mm": 140}) if side == "right"]


def test_the_air_to_spare_is_that_of_warm_oil() -> None:
    """Cold there are 8.5 mm to spare; 520 ml that grow by 40 K take about 12 mm of it: arithmetic."""
    level = (71.7 + 8.5 * 1.32025) / 1.01788
    spare = next(one for one in tried({"level_left_mm": level, "level_right_mm": 140})["objections"]
                 if one["kind"] in ("spare", "lock"))
    assert spare["kind"] == "spare" and spare["value"] < 0


def test_oil_of_an_amount_that_nobody_knows_grows_too() -> None:
    """Cold there are 15 mm to spare.  0.6 l would grow by 600 × 7.3e-4 × 40 ml = 17.5 ml, 13.3 mm: arithmetic."""
    level = (71.7 + 15 * 1.32025) / 1.01788
    unknown = {**FULL, "oil_volume_book_ml": None}
    spare = next(one for one in tried({"level_left_mm": level, "level_right_mm": 140}, OIL, unknown)["objections"]
                 if one["kind"] == "spare")
    assert spare["value"] == pytest.approx(1.7, abs=0.1)


def test_an_air_sprung_leg_is_over_filled_against_its_papers_as_any_other() -> None:
    sprung_by_air = {"spring": None, "oil_level_mm": 140, "air_volume_ml": 300, "gauge_pressure_bar": 7}
    assert kinds({"level_left_mm": 129}, None, sprung_by_air, fork={"springing": "air"}) == [("over-filled", "left")]
    assert kinds({"level_left_mm": 131}, None, sprung_by_air, fork={"springing": "air"}) == []


def test_a_level_is_work_on_the_oil_where_nobody_has_read_the_one_there_is() -> None:
    assert kinds({"level_left_mm": 140}, PRELOAD, UNREAD) == [("other work", "oil")]
    assert kinds({}, PRELOAD, UNREAD) == []


def test_what_nobody_knows_of_the_oil_stays_blank_beside_the_level_chosen() -> None:
    sets = tried({"level_left_mm": 150}, PRELOAD, UNREAD)["numbers"]
    blank = {"level_right_mm": None, "draw_off_right_ml": None, "spare_right_mm": None}
    assert blank.items() <= sets["found"].items() and blank.items() <= sets["chosen"].items()
    assert sets["chosen"]["level_left_mm"] == 150.0 and sets["chosen"]["draw_off_left_ml"] is None


def test_the_conditions_are_as_answered() -> None:
    told = tried({}, **{"use": {"temperature_c": 21.3, "closed_altitude_m": 400.4}})["numbers"]["conditions"]
    assert (told["oil_c"], told["altitude_m"], told["closed_altitude_m"]) == (21.3, 400, 400)
    assert tried({})["numbers"]["conditions"]["oil_c"] == 20.0


def test_oil_that_gets_hotter_than_usual_takes_more() -> None:
    """Cold there are 25 mm to spare, with 527 ml in the leg: 60 °C take 11.7 mm of it, 90 °C 20.4 mm: arithmetic."""
    numbers = {"level_left_mm": (71.7 + 25 * 1.32025) / 1.01788, "level_right_mm": 140}
    kept = {"oil_level_mm": 60, "oil_level_book_mm": 110}
    assert ("spare", "left") not in kinds(numbers, OIL, kept)
    found = tried(numbers, OIL, kept, use={"oil_temperature_c": 90})["objections"]
    assert [one["value"] for one in found if one["kind"] == "spare"] == [pytest.approx(4.6, abs=0.1)]


def test_a_spring_that_would_bind_is_refused_where_it_does() -> None:
    short = {"oil_level_mm": 140, "preload_turns_in": 3, "preload_turns_range": 20, "spring": {
        "rate_n_per_mm": 8.5, "free_length_mm": 300, "wire_diameter_mm": 5, "total_coils": 29}}
    found = tried({"turns": 2}, PRELOAD, short)["objections"]
    assert [one["kind"] for one in found] == ["bind", "bind"]
    # 300 − 29 × 5 − 15 − 3 × 1.25 − 2 × 1.25: arithmetic.
    assert found[0]["value"] == pytest.approx(133.8, abs=0.1)


@pytest.mark.parametrize("turns, kinds_found", [
    (-3, ["adjuster", "adjuster"]), (3.5, []), (4, ["adjuster", "adjuster"]), (-2, [])])
def test_an_adjuster_is_not_turned_beyond_its_range(turns: float, kinds_found: list[str]) -> None:
    both = {"oil_level_mm": 140, "preload_turns_in": 2, "preload_turns_range": 5.5}
    assert [kind for kind, _ in kinds({"turns": turns}, PRELOAD, both)] == kinds_found


def test_more_than_a_first_step_of_preload_is_refused() -> None:
    both = {"oil_level_mm": 140, "preload_turns_in": 12}
    assert kinds({"turns": -4}, PRELOAD, both) == [] and kinds({"turns": -5}, PRELOAD, both) == [("step", "both")]


def test_a_letter_changes_one_thing_at_a_time() -> None:
    assert kinds({"rate_n_per_mm": 9}) == [("other work", "spring")]
    assert kinds({"level_left_mm": 150, "turns": 1}) == [("other work", "preload")]
    assert kinds({"level_left_mm": 140.0, "level_right_mm": 140.0}) == []
    assert kinds({"turns": 0}, PRELOAD, {"oil_level_mm": 140}) == [("nothing", "both")]
    assert kinds({"level_left_mm": 150}, None) == [("no cause", "both")] and kinds({}, None) == []


def test_a_stopped_front_gets_no_numbers_at_all() -> None:
    stopped = tried({"level_left_mm": 150}, OIL, FULL, safety={"cap_damaged": True})
    assert [one["kind"] for one in stopped["objections"]] == ["stopped"]
    assert stopped["service"] is None and "advised" not in [curve["name"] for curve in stopped["curves"]]


def test_a_higher_exponent_and_warm_oil_take_stroke_from_both_sets() -> None:
    document = case(FULL)
    usual = what_if(document, {}, OIL)["fork"]
    steep = what_if(document, {}, OIL, conditions=Conditions(fast=1.4))["fork"]
    hot = what_if(document, {}, OIL, conditions=Conditions(oil_temperature=273.15 + 70))["fork"]
    for which in ("found", "advised"):
        assert steep["usable_stroke_mm"][which] < usual["usable_stroke_mm"][which]
        assert hot["usable_stroke_mm"][which] < usual["usable_stroke_mm"][which]
    assert hot["left"]["lock_stroke_mm"] < usual["left"]["lock_stroke_mm"]
    assert steep["rider_sag_mm"] == usual["rider_sag_mm"]
    slow = what_if(document, {}, OIL, conditions=Conditions(slow=1.2))["fork"]
    assert slow["rider_sag_mm"]["found"] < usual["rider_sag_mm"]["found"]
    assert slow["usable_stroke_mm"] == usual["usable_stroke_mm"]


@pytest.mark.parametrize(("conditions", "name"), [
    (Conditions(fast=1.2), "usable_stroke_mm"), (Conditions(slow=1.0), "rider_sag_mm")])
def test_an_exponent_that_was_chosen_is_not_in_doubt(conditions: Conditions, name: str) -> None:
    usual, chosen = (what_if(case(FULL), {}, OIL, conditions=under)["fork"]["spread"][name]["found"]
                     for under in (Conditions(), conditions))
    assert chosen[1] - chosen[0] < 1.1 * (usual[1] - usual[0])


def test_the_full_assessment_writes_the_advice_for_a_tuners_numbers() -> None:
    told = parse_case(case(FULL, bench={"travel": {"used_mm": 95, "end_feel": "stops dead"}}))
    chosen = read_chosen({"level_left_mm": 150, "level_right_mm": 150})
    plain = analyse(told, np.random.default_rng(3)).as_document()
    own = analyse(told, np.random.default_rng(3), chosen).as_document()
    assert own["causes"] == plain["causes"] and own["verdict"] == plain["verdict"]
    assert own["verdict"]["cause"] == OIL
    assert "draw off about 92 ml until it stands 150 mm" in own["advice"][0]["steps"][0]
    assert any("150 mm" in step for step in own["service"]["order"])
    assert not any("140 mm" in step for step in own["service"]["order"])


def test_a_tuners_own_cause_leads_the_advice_and_leaves_the_odds_alone() -> None:
    told = parse_case(case(FULL, bench={"travel": {"used_mm": 95, "end_feel": "stops dead"}}))
    plain = analyse(told, np.random.default_rng(3)).as_document()
    own = analyse(told, np.random.default_rng(3), view="friction or misalignment").as_document()
    assert own["causes"] == plain["causes"] and own["engines_verdict"] == plain["verdict"]
    assert own["verdict"]["cause"] == "friction or misalignment" and own["verdict"]["kind"] == "cause"
    assert "own judgement" in own["verdict"]["words"]
    assert own["advice"][0]["title"] == "Find what holds the legs"


def test_a_safety_sign_outvotes_a_tuners_cause() -> None:
    told = parse_case(case(FULL, safety={"cap_damaged": True}))
    own = analyse(told, np.random.default_rng(3), view="spring too stiff").as_document()
    assert own["verdict"]["kind"] == "stop" and own["advice"] == [] and "engines_verdict" not in own


def test_a_rate_of_a_tuners_own_is_the_one_in_the_advice() -> None:
    told = parse_case(case({"oil_level_mm": 140}))
    own = analyse(told, np.random.default_rng(3), read_chosen({"rate_n_per_mm": 7.8}), "spring too stiff").as_document()
    assert "about 7.8 N/mm suits" in own["advice"][0]["steps"][0]
    assert read_chosen({"level_right_mm": 12}).levels[1].value == pytest.approx(12 * MM)
