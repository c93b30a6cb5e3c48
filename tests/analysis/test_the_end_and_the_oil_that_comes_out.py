"""Putty at the end of the stroke and oil drained into jars are evidence, each counted once."""
from __future__ import annotations

import numpy as np
import pytest

from analysis import parse_case
from analysis.estimates import ML
from analysis.inputs import read_inputs
from analysis.observations_ends import END_READINGS
from analysis.posterior import assess

LEG = {"stanchion_diameter_mm": 41, "bore_diameter_mm": 36, "inner_parts_area_mm2": 0, "oil_level_book_mm": 140,
       "oil_volume_book_ml": 520, "steel_volume_ml": 71.7, "spring": {"rate_n_per_mm": 8.5}, "preload_fixed_mm": 15}


def case(leg=(), **bench):
    legs = {side: LEG | dict(leg) for side in ("left", "right")}
    return parse_case({"schema": 1, "bike": {"mass_kg": 200}, "rider": {"mass_kg": 82},
                       "fork": {"damper": "damper rod", "travel_mm": 140, **legs}, "bench": bench})


def weighed(found, draws=700):
    return assess(found, read_inputs(found), np.random.default_rng(3), draws)


def odds(found, *names):
    posterior = weighed(found)
    by_name = dict(zip((c.name for c in posterior.world.causes), posterior.probabilities(), strict=True))
    return sum(by_name[name] for name in names)


def drain(amounts, strokes=15, unit="ml"):
    return {f"{side}_out_{unit}": out for side, out in zip(("left", "right"), amounts, strict=True)} | {
        "left_strokes": strokes, "right_strokes": strokes}


@pytest.mark.parametrize("answers, out, share", [
    (drain((494, 494)), 494, 0.95), (drain((494, 494), 0), 494, 0.875),
    (drain(("430 g", "430 g"), unit="kg"), 500, 0.95)])
def test_what_comes_out_says_what_was_in(answers, out, share):
    # Arithmetic: 430 g / 0.86 = 500 ml; common practice, no source: 95 % comes out pumped, about 87.5 % not pumped.
    found = read_inputs(case(drain=answers)).left.drained
    assert found.amount.value / ML == pytest.approx(out, abs=0.1)
    posterior = weighed(case(drain=answers), 300)
    assert posterior.quantiles(posterior.world.excess["left"])[1] / ML == pytest.approx(out / share - 520, abs=14)


def test_seventy_millilitres_too_much_in_both_jars_is_over_filled():
    assert odds(case(drain=drain((560, 560))), "over-filled") > 0.85
    assert odds(case(drain=drain((560, 490))), "unequal oil", "over-filled") > 0.8
    assert odds(case(drain=drain((494, 494))), "over-filled", "too little oil", "unequal oil") < 0.06


def test_level_and_jar_say_one_thing():
    jar, both = (weighed(case(leg, drain=drain((560, 560)))) for leg in ((), {"oil_level_mm": 72}))
    level = weighed(case({"oil_level_mm": 72}))
    width = [np.diff(p.quantiles(p.world.excess["left"]))[[0, -1]].sum() for p in (jar, level, both)]
    assert width[2] == pytest.approx(min(width), rel=0.15)  # the jar adds less than an independent reading would


def test_putty_squeezed_at_the_mark_clears_a_wrong_reading():
    short = {"used_mm": 104, "end_feel": "stiffer"}
    doubt = "nothing wrong or measured badly"
    assert odds(case(travel=short, bottoming={"reached": "reached", "unused_mm": 0}), doubt) > 2 * odds(
        case(travel=short), doubt)
    assert odds(case(travel=short, bottoming={"reached": "untouched", "unused_mm": 36}), doubt) < 0.6 * odds(
        case(travel=short), doubt)


def test_the_tie_and_the_putty_are_not_counted_twice():
    alone, after_the_tie = (
        next(e for e in weighed(case(bottoming={"unused_mm": 36}, **travel), 300).evidence
             if e.path == "bench.bottoming.unused_mm").log for travel in ({}, {"travel": {"used_mm": 104}}))
    assert np.ptp(after_the_tie) == pytest.approx(0.5 * np.ptp(alone), rel=0.1)


@pytest.mark.parametrize("mark, found", [("springs out", 1.0), ("papers", 0.0), ("guess", 0.0)])
def test_a_mark_found_with_the_springs_out_lies_where_the_legs_really_end(mark, found):
    world = weighed(case(bottoming={"unused_mm": 10, "mark_from": mark}), 300).world
    left = world.stroke - found * world.lost - world.ride_stroke
    assert world.lost.max() > 0.02
    np.testing.assert_allclose(END_READINGS[0].predict(world), np.maximum(left, 0.0))


# Common practice, no source: ten strokes pump a leg through.
@pytest.mark.parametrize("strokes, pumped", [(10, True), (15, True), (9, None), (0, False)])
def test_ten_strokes_pump_a_leg_through(strokes, pumped):
    assert read_inputs(case(drain=drain((494, 494), strokes))).left.drained.pumped is pumped
