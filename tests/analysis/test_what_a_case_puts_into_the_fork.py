"""From answers to numbers: what was weighed outranks what is usual, and what stands in is listed with its reason."""
from __future__ import annotations

import math

import numpy as np
import pytest

from analysis import engine
from analysis.catalogue import QUESTIONS
from analysis.catalogue.safety import SAFETY
from analysis.document import parse_case
from analysis.estimates import ML
from analysis.fork_more import when_hot
from analysis.gates import safety_gates
from analysis.inputs import Inputs, read_inputs
from analysis.labels import excess_by_volume
from analysis.remarks import ride_gently
from analysis.setups import Change, amount_in
from analysis.state import State
from analysis.verdict import Verdict
from tests.reference_fork import Document, case, findings


def read(document: Document) -> Inputs:
    return read_inputs(parse_case(document))


def reasons(inputs: Inputs, path: str) -> list[str]:
    return [a.reason for a in inputs.assumed if a.path == path]


def test_a_front_that_was_weighed_outranks_the_share() -> None:
    assert read(case(bike={"front_load_kg": 104})).bike_front.value == 104.0
    assert read(case()).bike_front.value == pytest.approx(200 * 0.49)


# Arithmetic: 5 mm wire on 30 mm, 29 coils are 53.7 ml of steel; a usual spacer comes on top.
def test_the_steel_of_a_spring_is_worked_out_from_its_measures() -> None:
    spring = {"rate_n_per_mm": 8.5, "wire_diameter_mm": 5, "coil_mean_diameter_mm": 30, "total_coils": 29}
    inputs = read(case({"steel_volume_ml": None, "spring": spring}))
    wound = math.pi * 0.03 * 29 * math.pi / 4 * 0.005**2 / ML
    assert 0 < inputs.left.steel.value / ML - wound < 30
    assert inputs.left.steel.sd / ML > 0.03 * wound
    assert "wire and coils" in reasons(inputs, "fork.left.steel_volume_ml")[0]
    assert "for this stroke" in reasons(read(case({"steel_volume_ml": None})), "fork.left.steel_volume_ml")[0]


def test_the_steel_told_of_one_leg_counts_for_its_like() -> None:
    told = case({"steel_volume_ml": None})
    told["fork"]["left"]["steel_volume_ml"] = 66
    inputs = read(told)
    assert inputs.right.steel.value / ML == pytest.approx(66)
    assert reasons(inputs, "fork.right.steel_volume_ml") == ["Taken from the left leg (66)."]


SPLIT: Document = {"fork": {"damper": "separate function", "travel_mm": 140, "left": {
    "stanchion_diameter_mm": 41, "bore_diameter_mm": 36, "inner_parts_area_mm2": 0, "steel_volume_ml": 72,
    "oil_level_mm": 140, "spring": {"rate_n_per_mm": 17}}, "right": {
    "stanchion_diameter_mm": 41, "bore_diameter_mm": 36, "inner_parts_area_mm2": 300, "oil_level_mm": 140}}}


# Arithmetic: (pi/4·36² − 300) mm² × 140 mm are 100.5 ml, of which only a damper's fittings are taken, not 59 ml of
# spring and spacer.
def test_a_leg_without_a_spring_holds_no_springs_steel() -> None:
    inputs = read(SPLIT)
    assert inputs.left.steel.value / ML == pytest.approx(72) and 0 <= inputs.right.steel.value / ML < 15
    assert reasons(inputs, "fork.right.steel_volume_ml") == ["No spring stands in this leg."]
    assert reasons(inputs, "fork.right.preload_fixed_mm") == []
    air = findings(SPLIT)["fork"]["right"]["air_volume_compressed_ml"]
    assert air == pytest.approx(100.5 - inputs.right.steel.value / ML, abs=0.2)


AIR_SPRUNG: Document = {"bike": {"kind": "off road"}, "fork": {"springing": "air", "travel_mm": 300, **{side: {
    "air_volume_ml": 420, "air_piston_diameter_mm": 38, "gauge_pressure_bar": 9} for side in ("left", "right")}},
    "bench": {"sag": {"rider_sag_mm": 70}}}


def test_an_air_sprung_leg_whose_air_is_known_takes_nothing_typical_of_springs_or_levels() -> None:
    assert not {one.path.rpartition(".")[2] for one in read(AIR_SPRUNG).assumed} & {
        "bore_diameter_mm", "inner_parts_area_mm2", "steel_volume_ml", "cap_intrusion_ml", "preload_fixed_mm",
        "stanchion_diameter_mm"}
    said = findings(AIR_SPRUNG)
    wanted = {one["path"] for one in said["missing"]}
    assert wanted == {"bench.travel.used_mm", "rider.mass_kg", "bike.mass_kg"}
    assert said["doubts"] == []


def test_a_pressure_of_air_springs_in_a_fork_with_springs_is_asked_back() -> None:
    asked = findings(case({"gauge_pressure_bar": 9}))["doubts"]
    assert [one["path"] for one in asked] == ["fork.left.gauge_pressure_bar", "fork.right.gauge_pressure_bar"]


def test_an_amount_says_nothing_where_nobody_knows_how_the_leg_was_filled() -> None:
    told = parse_case(case({"oil_volume_ml": 545}))
    assert excess_by_volume(read_inputs(told).left, told, "left") == []
    told = parse_case(case({"oil_volume_ml": 545}, service={"filled": "dry"}))
    ((path, excess),) = excess_by_volume(read_inputs(told).left, told, "left")
    assert path == "fork.left.oil_volume_ml" and excess.value / ML == pytest.approx(25.0)


def hot(document: Document) -> Document | None:
    told = parse_case(document)
    inputs = read_inputs(told)
    state = State(told, inputs, Verdict("cannot tell yet", None, "", ()), (), np.random.default_rng(1))
    return when_hot(state, np.random.default_rng(1))


# Arithmetic: 80 mm read with the leg long are 81.4 − 71.7 = 9.7 ml of air in all; warm oil takes 15.2 ml more.
def test_a_leg_that_warm_oil_fills_to_the_top_has_no_stroke_left() -> None:
    full = hot(case({"oil_level_mm": 80}, bench={"oil": {"condition": "extended spring out"}}))
    assert full is not None and full["lock_stroke_mm"] == 0.0 and full["usable_stroke_mm"] == 0.0


# Arithmetic: 98 mm too high are 99.8 ml above the papers' 520; 619.8 ml × 7.3e-4 × 40 K are 18.1 ml, 13.7 mm of a
# 41 mm tube.
def test_a_fork_that_locks_does_so_earlier_when_hot() -> None:
    warm = hot(case({"oil_level_mm": 42}))
    assert warm is not None and warm["limited_by"] == "hydraulic lock"
    assert warm["lock_stroke_mm"] == pytest.approx(118.0 - 13.7, abs=0.2)


# Arithmetic: 520 ml poured onto 78 ml that had stayed; 598 ml × 7.3e-4 × 40 K are 17.5 ml, 13.2 mm; cold 134.6 mm.
def test_what_had_stayed_in_a_drained_leg_grows_as_well() -> None:
    warm = hot(case({"oil_volume_ml": 520}, service={"filled": "drained", "pumped": False}))
    assert warm is not None and warm["lock_stroke_mm"] == pytest.approx(134.6 - 13.2, abs=0.2)


# Arithmetic: 545 ml into each leg or 1040 ml for both, of which nobody knows how they went in.
@pytest.mark.parametrize(("poured", "amount"), [(545, 545), (1040, 520)])
def test_an_amount_for_both_legs_is_not_taken_for_one(poured: float, amount: float) -> None:
    told = parse_case(case({"oil_volume_ml": poured, "oil_level_book_mm": None}))
    found = amount_in(read_inputs(told), told, "left", "found", Change())
    assert found is not None and found / ML == pytest.approx(amount)


# Arithmetic: 140 mm leave 70.8 ml at full stroke; 520 ml × 7.3e-4 take 15.2 ml at 60 °C and 26.6 ml at 90 °C, of
# 1320 mm²: 42.1 and 33.5 mm.
@pytest.mark.parametrize(("told", "spare"), [({}, 42.1), ({"oil_temperature_c": 90}, 33.5),
                                             ({"oil_temperature_c": 30}, 42.1)])
def test_the_advised_level_is_looked_at_warm_as_well(told: Document, spare: float) -> None:
    advised = findings(case({"oil_level_mm": 42}, use=told))["fork"]["when_hot"]["advised"]
    assert advised["spare_mm"] == pytest.approx(spare, abs=0.1) and advised["lock_stroke_mm"] is None


def test_without_the_papers_level_nothing_advised_is_looked_at_warm() -> None:
    warm = hot(case({"oil_level_mm": 60, "oil_level_book_mm": None}))
    assert warm is not None and warm["advised"] is None


# Arithmetic: at 92 mm 21.9 ml are left, less 15.2 ml when warm: 5.1 mm of 8 that there should be.
def test_an_advised_level_that_leaves_too_little_when_warm_is_doubted() -> None:
    tight = {"oil_level_mm": 40, "oil_level_book_mm": 92}
    assert any("5 mm" in said and "warm" in said for said in findings(case(tight))["cautions"])
    assert not any("warm" in said for said in findings(case({"oil_level_mm": 40}))["cautions"])


def test_with_every_safety_question_answered_no_nothing_is_said_of_riding_gently() -> None:
    fork = {side: {"lock_stroke_mm": None} for side in ("left", "right")} | {"limited_by": {"found": "spring"}}
    clear = parse_case({"safety": {q.path.split(".")[1]: False for q in SAFETY.questions}})
    assert ride_gently(clear, fork, safety_gates(clear)) is None
    open_still = parse_case({"safety": {"brake_weak": False}})
    assert "every safety question" in (ride_gently(open_still, fork, ()) or "")


def test_a_part_that_is_thought_bent_is_better_not_ridden_until_it_has_been_measured() -> None:
    fork = {side: {"lock_stroke_mm": None} for side in ("left", "right")} | {"limited_by": {"found": "spring"}}
    clear = parse_case({"safety": {q.path.split(".")[1]: False for q in SAFETY.questions}})
    assert "better not at all until it has been measured" in (ride_gently(clear, fork, (), "bent part") or "")
    assert ride_gently(clear, fork, (), "leaking seal") is None


@pytest.mark.parametrize(("kind", "gently"), [("cause", True), ("cannot tell yet", False)])
def test_a_cause_that_the_verdict_only_leans_towards_is_no_reason_to_ride_gently(
        kind: str, gently: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "verdict", lambda *_: Verdict(kind, "bent part", "Words.", ()))
    assert ("bent part can break" in (findings(case({"oil_level_mm": 140}))["ride_gently"] or "")) == gently


def test_coils_that_touch_are_a_reason_to_ride_gently_where_nothing_else_of_the_fork_is_known() -> None:
    spring = {"wire_diameter_mm": 5.5, "coil_mean_diameter_mm": 29, "total_coils": 45, "active_coils": 43,
              "free_length_mm": 370}  # arithmetic: 370 − 45 × 5.5 − 25 = 97.5 mm are left of a stroke of 130 mm
    leg = {"stanchion_diameter_mm": 41, "preload_fixed_mm": 25, "spring": spring}
    found = findings({"complaint": {"symptoms": ["clanks at the end"]}, "bike": {"kind": "road"}, "fork": {
        "damper": "damper rod", "travel_mm": 130, "left": leg, "right": leg},
        "bench": {"travel": {"used_mm": 95, "end_feel": "clank", "repeats": "same"}}})
    assert found["verdict"]["cause"] == "coil bind"
    assert "The coils touch before the stroke ends." in found["ride_gently"]


@pytest.mark.parametrize("told", [{}, {"fork": {"springing": "air"}}, {"fork": {"layout": "upside down"}},
                                  {"bike": {"mass_kg": 200}}, {"fork": {"travel_mm": 250}}])
def test_what_stands_in_is_in_its_questions_unit_and_possible(told: Document) -> None:
    assumed = read(told).assumed
    assert len(assumed) > 8 and len({a.path for a in assumed}) == len(assumed)
    for one in assumed:
        question = QUESTIONS[one.path]
        assert question.possible is not None and one.unit == question.unit and one.reason.endswith(".")
        assert question.possible[0] <= one.value <= question.possible[1]


# Arithmetic: 36 coils of 5.2 mm are 187.2 mm solid, of 300 mm; both spreads of the coils' height count, as squares.
def test_the_stroke_until_the_coils_touch_is_as_sure_as_its_measures() -> None:
    spring = {"rate_n_per_mm": 8.5, "free_length_mm": 300, "wire_diameter_mm": 5.2, "total_coils": 36}
    told = parse_case(case({"spring": spring}))
    closes = read_inputs(told).left.closes
    free, wire, coils = (told.answers[f"fork.left.spring.{name}"].sd for name in (
        "free_length_mm", "wire_diameter_mm", "total_coils"))
    assert closes is not None and closes.value == pytest.approx(0.300 - 0.1872)
    assert min(free, wire, coils) > 0
    assert closes.sd**2 == pytest.approx(free**2 + (36 * wire) ** 2 + (5.2e-3 * coils) ** 2)


# Arithmetic: 212 kg less 110 kg at the rear; 101 and 110 kg together.
def test_what_the_rear_wheel_does_not_carry_is_on_the_front() -> None:
    weighed = read(case(bike={"mass_kg": 212, "rear_load_kg": 110, "front_share": None}))
    assert weighed.bike_front.value == pytest.approx(102)
    both = read(case(bike={"mass_kg": None, "front_load_kg": 101, "rear_load_kg": 110, "front_share": None}))
    assert (both.bike_front.value, both.bike_mass.value) == (pytest.approx(101), pytest.approx(211))
    told = read(case(bike={"mass_kg": 212, "rear_load_kg": 110, "front_share": 0.5}))
    assert told.bike_front.value == pytest.approx(106)


def test_a_balance_chamber_is_in_the_leg_that_has_one() -> None:
    air = {"spring": None, "air_volume_ml": 320, "air_piston_diameter_mm": 36,
           "balance": {"volume_ml": 150, "pressure_bar": 4.5, "diameter_mm": 34}}
    one = case({"spring": None}, fork={"springing": "air"})
    one["fork"]["left"] |= air
    inputs = read(one)
    assert inputs.left.parts.balance is not None and inputs.right.parts.balance is None


def test_legs_with_each_their_own_work_do_not_lend_each_other_their_stops() -> None:
    stops = {"top_out": {"rate_n_per_mm": 4, "length_mm": 30}, "bump": {"rate_n_per_mm": 20, "length_mm": 25}}
    for damper, lent in (("separate function", False), ("damper rod", True)):
        told = case(fork={"damper": damper})
        told["fork"]["left"] |= stops
        parts = read(told).right.parts
        assert (parts.top_out is not None, parts.bump is not None) == (lent, lent)


def test_two_springs_of_which_one_tells_its_steel_tell_nothing_of_each_other_where_each_leg_has_its_own_work() -> None:
    both = {"fork": {**SPLIT["fork"], "right": {**SPLIT["fork"]["right"], "spring": {"rate_n_per_mm": 3}}}}
    assert "for this stroke" in reasons(read(both), "fork.right.steel_volume_ml")[0]
    assert read(both).right.rate is not None and read(both).right.rate.value == pytest.approx(3000)


# Arithmetic: 10 mm with the adjuster right out and 10 turns of 1 mm: from 10 to 20 mm, whatever it is set to now.
@pytest.mark.parametrize("turns", [0, 5, 10])
def test_springs_on_the_shelf_are_preloaded_within_the_adjusters_whole_range(turns: float) -> None:
    offered = findings(case({"oil_level_mm": 140, "preload_fixed_mm": 10, "preload_turns_in": turns,
                             "preload_turns_range": 10, "preload_pitch_mm_per_turn": 1}))["fork"]["springs"]
    assert offered and all(10 <= one["preload_mm"] <= 20 for one in offered)
