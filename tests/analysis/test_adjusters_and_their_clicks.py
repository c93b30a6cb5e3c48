"""Clicks out of range, at an end, counted from somewhere, different left and right, or changing nothing."""
from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.adjusters import Adjuster, Sweep, clicks_out, compare_sides, judge_sweep, look_at, look_at_all


def adjuster(clicks=10, total=20, counted="fully in", side="left", circuit="compression", sd=0.5):
    return Adjuster(side, circuit, clicks, total, counted, sd)


def kinds(found):
    return [finding.kind for finding in found]


@pytest.mark.parametrize("clicks, total, counted, expected", [
    (10, 20, "fully in", []), (0, 20, "fully in", ["at the hard end"]), (1, None, "fully in", ["at the hard end"]),
    (20, 20, "fully in", ["at the soft end"]), (20, 20, "fully out", ["at the hard end"]),
    (0, 20, "fully out", ["at the soft end"]), (25, 20, "fully in", ["out of range"]),
    (21, 20, "fully in", ["at the soft end"]), (-1, 20, "fully in", ["out of range"]),
    (4, 20, "not sure", ["counted from where"]), (10, 20, "not sure", []),
    (4, None, "not sure", ["counted from where"]),
    (None, 20, "fully in", []), (8, None, "fully out", [])])
def test_what_one_count_says(clicks, total, counted, expected):
    assert kinds(look_at(adjuster(clicks, total, counted))) == expected


@given(total=st.integers(6, 40), share=st.floats(0, 1))
def test_it_is_the_same_setting_counted_from_either_end(total, share):
    clicks = round(share * total)
    one, other = adjuster(clicks, total), adjuster(total - clicks, total, "fully out")
    assert clicks_out(one) == clicks_out(other) == clicks
    assert kinds(look_at(one)) == kinds(look_at(other))


def test_not_sure_from_where_is_no_setting():
    assert clicks_out(adjuster(4, 20, "not sure")) is None
    assert "16" in look_at(adjuster(4, 20, "not sure"))[0].words


def test_two_legs_that_do_the_same_job_stand_alike():
    left, right = adjuster(8), adjuster(14, side="right")
    assert compare_sides(left, right, True).kind == "sides differ"
    assert "Where only one leg" in compare_sides(left, right, None).words
    assert compare_sides(left, right, False) is None
    assert compare_sides(left, adjuster(9, side="right"), True) is None


def test_a_guessed_count_has_to_differ_by_more():
    assert compare_sides(adjuster(8, sd=3), adjuster(12, side="right"), True) is None
    assert compare_sides(adjuster(8, sd=0.5), adjuster(12, side="right"), True) is not None


def test_each_circuit_is_compared_with_its_own():
    found = look_at_all([adjuster(8), adjuster(14, side="right"), adjuster(8, circuit="rebound"),
                         adjuster(8, circuit="rebound", side="right")], True)
    assert [(f.kind, f.circuit) for f in found] == [("sides differ", "compression")]


def test_the_rebound_is_compared_before_the_compression():
    found = look_at_all([adjuster(clicks, side=side, circuit=circuit) for circuit in ("compression", "rebound")
                         for clicks, side in ((8, "left"), (14, "right"))], True)
    assert [f.circuit for f in found] == ["rebound", "compression"]


# Common practice, no source: more than 10 mm from fully in to fully out is an adjuster that works.
@pytest.mark.parametrize("strokes, expected", [
    ((0.050, 0.060, 0.075), "works"), ((0.050, None, 0.070), "works"), ((0.060, 0.061, 0.060), "changes nothing"),
    ((0.060, 0.060, 0.052), "changes nothing"), ((0.050, 0.055, 0.0605), "cannot tell"),
    ((0.050, 0.090, 0.075), "cannot tell"), ((None, 0.06, 0.07), "cannot tell")])
def test_what_a_sweep_says(strokes, expected):
    assert judge_sweep(Sweep(*strokes)).kind == expected


def test_rough_readings_leave_it_open():
    assert judge_sweep(Sweep(0.050, 0.055, 0.062, sd=0.002)).kind == "works"
    assert judge_sweep(Sweep(0.050, 0.055, 0.062, sd=0.012)).kind == "cannot tell"


def test_legs_that_do_not_share_a_circuit_are_not_compared():
    assert look_at_all([adjuster(8), adjuster(14, side="right")], False) == ()
