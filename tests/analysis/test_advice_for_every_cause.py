"""What is advised for each cause: one small step that can be undone, and a workshop where hands could be hurt."""
from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from analysis.advice import RATE_STEP, Facts, advice_for, change_for
from analysis.causes import CAUSES
from analysis.document import parse_case
from analysis.inputs import read_inputs
from analysis.preload import PreloadCheck
from analysis.service import LegSheet, ServiceSheet
from analysis.state import State
from analysis.verdict import Verdict
from tests.reference_fork import case

CHECK = PreloadCheck("", None, None, None, False)


def facts(check: PreloadCheck = CHECK, **more: Any) -> Facts:
    inputs = read_inputs(parse_case(case({"preload_pitch_mm_per_turn": 1.25})))
    return replace(Facts(inputs, check, None, None, None, False, True), **more)


def said(cause: str, given: Facts) -> str:
    (advice,) = advice_for(cause, given)
    return " ".join((advice.title, *advice.steps))


@pytest.mark.parametrize("name", [cause.name for cause in CAUSES])
def test_every_cause_has_its_own_advice(name: str) -> None:
    (advice,) = advice_for(name, facts())
    assert advice.title and all(step.endswith(".") for step in advice.steps)


@pytest.mark.parametrize("name", [cause.name for cause in CAUSES])
def test_no_step_changes_two_settings_at_once(name: str) -> None:
    (advice,) = advice_for(name, facts())
    for step in advice.steps:
        assert sum(setting in step for setting in ("rebound", "compression", "preload", "oil level")) < 2 or (
            "it is no cure" in step), step


def test_no_cause_is_no_advice() -> None:
    assert advice_for(None, facts()) == () == advice_for("moonlight", facts())


@pytest.mark.parametrize(("cause", "word"), [
    ("bent part", "workshop"), ("worn damper", "never opened at home"), ("worn shock", "never opened or heated"),
    ("coil bind", "no passenger"), ("too much air pressure", "Never open or unscrew an air-sprung leg"),
    ("leaking seal", "do not ride"), ("rear linkage stuck", "Fingers stay out"), ("tyre, bearing or brake", "workshop"),
    ("overloaded", "within the load in the bike's papers"), ("nothing wrong or measured badly", "Leave the settings"),
    ("top-out fault", "workshop"), ("too little compression damping", "compression in by 2 clicks"),
    ("too much compression damping", "compression out by 2 clicks"), ("rebound too slow", "rebound out by 2"),
    ("rebound too fast", "rebound in by 2"), ("wrong assembly", "exploded drawing"),
    ("rear spring or height", "2 mm or one step"), ("friction or misalignment", "own manual"),
])
def test_the_words_that_must_not_be_missing(cause: str, word: str) -> None:
    assert word in said(cause, facts())


@pytest.mark.parametrize(("cause", "times", "named"), [
    ("rebound too slow", 2.9, True), ("too much compression damping", 1.6, True), ("rebound too slow", 1.1, False),
    ("rebound too slow", None, False), ("rebound too slow", 0.5, False), ("rebound too fast", 0.5, True),
    ("too little compression damping", 0.5, True), ("rebound too fast", 2.9, False)])
def test_oil_that_may_be_the_reason_is_named_beside_the_clicks(cause: str, times: float | None, named: bool) -> None:
    given = said(cause, facts(oil_times=times))
    assert (f"The oil inside is {times} times as thick as the papers ask for." in given) == named
    assert ("workshop changes it for the oil in the papers" in given) == named


def test_trapped_pressure_is_let_off_at_home_only_where_the_legs_may_be_opened() -> None:
    assert "fully extended" in said("trapped air pressure", facts())
    barred = said("trapped air pressure", facts(opening_barred=True))
    assert "not to be opened at home" in barred and "Open the bleed screws" not in barred
    assert "licensed workshop" in said("over-filled", facts(opening_barred=True))


# Arithmetic: the first step is at most 5 mm, four turns of 1.25 mm.
@pytest.mark.parametrize(("turns", "out", "words"), [
    (-1.0, False, "Turn the preload 1 turn out on both legs: about 1 mm."),
    (1.0, False, "Turn the preload 1 turn in on both legs: about 1 mm."),
    (-2.0, False, "Turn the preload 2 turns out on both legs: about 2.5 mm."),
    (3.0, False, "Turn the preload 3 turns in on both legs: about 4 mm."),
    (-10.0, False, "Turn the preload 4 turns out on both legs: about 5 mm. That is only a first step: about 10 turns "
                    "in all would be needed."),
    (-4.0, True, "The adjuster's range is not enough: spacers or springs have to be changed by a workshop."),
])
def test_preload_goes_in_turns_with_a_small_first_step(turns: float, out: bool, words: str) -> None:
    given = said("too much preload", facts(PreloadCheck("", None, turns * 1.25e-3, turns, out)))
    assert words in given
    assert ("first step" in given) == (abs(turns) > 4)
    assert ("range is not enough" in given) == (out and turns != 0)
    assert "Measure the rider sag again" in given


# Arithmetic: the first step is at most 5 mm; 8 mm are wanted in all.
@pytest.mark.parametrize(("to_target", "title", "words"), [
    (-0.003, "Have the spacers shortened", "spacers that are 3 mm shorter in each leg"),
    (-0.008, "Have the spacers shortened", "5 mm shorter in each leg that has a spring, and keeps the old ones. That "
                                           "is only a first step: about 8 mm in all would be needed."),
    (0.004, "Have the spacers lengthened", "4 mm longer in each leg that has a spring, and keeps the old ones. First "
                                           "it makes sure that the coils keep 5 mm of room"),
])
def test_where_the_adjusters_are_at_their_end_a_workshop_changes_the_spacers(to_target, title, words):
    advice = advice_for("too much preload", facts(PreloadCheck("", None, to_target, 0.0, True)))[0]
    assert advice.title == title and advice.by_workshop
    assert words in " ".join(advice.steps)


def test_a_fork_without_an_adjuster_is_one_whose_adjusters_are_at_their_end():
    read = parse_case(case({"preload_turns_range": 0}, bench={"sag": {
        "extended_mm": 200, "rider_from_below_mm": 175, "rider_from_above_mm": 170}}))
    unsure = Verdict("cannot tell", None, "", ())
    check = State(read, read_inputs(read), unsure, (), np.random.default_rng(1)).check
    assert (check.turns, check.out_of_range) == (0.0, True)


@pytest.mark.parametrize(("cause", "to_target", "way"), [
    ("too much preload", None, "back them out"), ("too little preload", None, "wind them in"),
    ("too much preload", -0.004, "back them out"), ("too much preload", 0.004, "wind them in")])
def test_without_turns_one_turn_is_tried_the_way_the_cause_asks(cause: str, to_target: float | None, way: str) -> None:
    assert f"{way} by one turn" in said(cause, facts(PreloadCheck("", None, to_target, None, False)))


@pytest.mark.parametrize(("cause", "turns_in", "title"), [
    ("too much preload", 0, "Have the spacers shortened"), ("too little preload", 12, "Have the spacers lengthened"),
    ("too much preload", 12, "Change the preload"), ("too little preload", 0, "Change the preload")])
def test_an_adjuster_that_stands_at_its_end_is_not_turned_further(cause: str, turns_in: int, title: str) -> None:
    at_its_end = read_inputs(parse_case(case({"preload_turns_in": turns_in, "preload_turns_range": 12})))
    (advice,) = advice_for(cause, facts(inputs=at_its_end))
    assert advice.title == title and advice.by_workshop == (title != "Change the preload")
    assert "5 mm" in " ".join(advice.steps) or not advice.by_workshop


@pytest.mark.parametrize(("suits", "rate", "words"), [
    (9_300.0, 8_500.0, "about 9.5 N/mm suits"), (9_100.0, 8_500.0, "about 9.0 N/mm suits"),
    (8_600.0, 8_500.0, "measured"), (None, 8_500.0, "measured"), (9_000.0, None, "measured"),
    (200.0, 8_500.0, "measured"), (RATE_STEP, 8_500.0, "about 0.5 N/mm suits"),
])
def test_springs_come_in_steps_and_the_same_spring_is_no_advice(suits: float | None, rate: float | None,
                                                                words: str) -> None:
    assert words in said("spring too soft", facts(suits_rate=suits, rate=rate))


@pytest.mark.parametrize(("suits", "rate", "far"), [
    (10_500.0, 5_000.0, True), (5_000.0, 10_500.0, True), (9_500.0, 8_500.0, False)])
def test_a_spring_far_from_the_fitted_one_is_measured_before_another_is_bought(
        suits: float, rate: float, far: bool) -> None:
    assert ("Before any springs are bought" in said("spring too soft", facts(suits_rate=suits, rate=rate))) == far


def test_a_rate_that_a_tuner_has_put_in_is_not_doubted() -> None:
    assert "Before any" not in said("spring too soft", facts(suits_rate=5_000.0, rate=5_000.0, own_rate=10_500.0))


def test_the_advised_set_changes_one_thing_by_the_cause() -> None:
    given = facts(PreloadCheck("", None, -0.012, -9.6, False), suits_rate=9_300.0, rate=8_500.0)
    preload = given.inputs.sprung_leg.preload.value
    less = change_for("too much preload", given)
    assert (less.level, less.rate, less.preload) == (False, None, pytest.approx(preload - 0.005))
    small = change_for("too little preload", replace(given, preload=PreloadCheck("", None, 0.003, 2.4, False)))
    assert small.preload == pytest.approx(preload + 0.003)
    stiffer = change_for("spring too soft", given)
    assert (stiffer.level, stiffer.rate, stiffer.preload) == (False, 9_500.0, None)
    for other in ("over-filled", "friction or misalignment", "too much preload", None):
        left = change_for(other, facts())
        assert (left.level, left.rate, left.preload) == (False, None, None)


LEVEL = LegSheet(level_now=0.130, level_to_set=0.140, draw_off=10e-6)


@pytest.mark.parametrize(("leg", "words"), [
    (LEVEL, "Left leg: draw off about 10 ml until it stands 140 mm below the top"),
    (replace(LEVEL, draw_off=-30e-6), "Left leg: add about 30 ml until it stands 140 mm"),
    (replace(LEVEL, draw_off=None), "Left leg: bring the oil to 140 mm below the top of the tube"),
    (LegSheet(), "Left leg: bring the oil to this leg's own level in the papers"),
    (LegSheet(draw_off=20e-6), "Left leg: draw off about 20 ml as the papers say"),
    (LegSheet(draw_off=-20e-6), "Left leg: add about 20 ml as the papers say"),
    (replace(LEVEL, level_now=0.1395, draw_off=0.5e-6), "Left leg: the oil already stands right. Leave it."),
])
def test_each_leg_has_its_own_move_of_oil(leg: LegSheet, words: str) -> None:
    given = said("over-filled", facts(sheet=ServiceSheet(leg, LEVEL, None, None, (), (), False)))
    assert words in given and "Right leg: draw off about 10 ml" in given
    assert ("Both legs within 2 mm of each other" in given) == (leg.level_to_set == LEVEL.level_to_set)


def test_no_spring_is_advised_that_nobody_worked_out() -> None:
    assert change_for("spring too soft", facts(suits_rate=None, rate=8_500.0)).rate is None
