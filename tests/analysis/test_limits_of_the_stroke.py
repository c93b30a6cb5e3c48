"""What the stroke can never do, whatever the fork; and what its end is called."""
from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.fork import Fork, braking_load, fork_force, fork_push, limited_by, static_load, stroke_under
from analysis.leg import Leg
from tests.reference_fork import fork, leg

QUICK = settings(max_examples=35)

legs = st.builds(
    Leg, seal_area=st.floats(5e-4, 2.2e-3), stroke=st.just(0.15), air_compressed=st.floats(-180e-6, 300e-6),
    closed_pressure=st.floats(80e3, 200e3), ride_pressure=st.floats(70e3, 101e3), rate=st.floats(0, 12e3),
    preload=st.floats(-0.02, 0.05), bind=st.floats(0.02, 0.3) | st.just(np.inf))
forks = st.builds(Fork, legs, legs)
loads, exponents = st.floats(0, 20e3), st.floats(1.0, 1.4)


@QUICK
@given(forks, loads, exponents)
def test_the_stroke_never_passes_lock_bind_or_full_stroke(any_fork: Fork, load: float, n: float) -> None:
    x = stroke_under(any_fork, load, n)
    assert 0.0 <= x <= min(any_fork.left.stroke, any_fork.right.stroke)
    assert x <= any_fork.lock and x <= any_fork.bind


@QUICK
@given(forks, st.floats(0, 60e-6), loads, exponents, st.booleans())
def test_more_oil_never_gives_more_travel(any_fork: Fork, more: float, load: float, n: float, both: bool) -> None:
    def fuller(one: Leg) -> Leg:
        return replace(one, air_compressed=one.air_compressed - more)

    # An air column that was closed below the atmosphere sucks, and less of it sucks less: not the case meant here.
    any_fork = Fork(*(replace(x, closed_pressure=max(x.closed_pressure, x.ride_pressure))
                      for x in (any_fork.left, any_fork.right)))
    fuller_fork = Fork(fuller(any_fork.left), fuller(any_fork.right) if both else any_fork.right)
    assert stroke_under(fuller_fork, load, n) <= stroke_under(any_fork, load, n) + 1e-6


@QUICK
@given(forks, exponents)
def test_the_force_never_falls_with_stroke(any_fork: Fork, n: float) -> None:
    force = np.asarray(fork_force(any_fork, np.linspace(0.0, 0.15, 300), n))
    assert not np.any(np.isnan(force))
    assert np.all(force[1:] >= force[:-1] - 1e-9)


@QUICK
@given(forks, st.floats(0.001, 0.9), exponents)
def test_the_stiffness_is_the_slope_of_the_force(any_fork: Fork, share: float, n: float) -> None:
    x, step = share * min(any_fork.end, 0.149), 1e-7
    if any(abs(one.preload + x) < 1e-5 for one in (any_fork.left, any_fork.right)):
        return  # the corner where a slack spring starts to push
    stiffness = fork_push(any_fork, x, n)[1]
    if x < 1e-4 or not np.isfinite(stiffness):
        return
    slope = (float(fork_force(any_fork, x + step, n)) - float(fork_force(any_fork, x - step, n))) / (2 * step)
    assert stiffness == pytest.approx(slope, rel=1e-3, abs=1.0)


@QUICK
@given(legs, loads, exponents)
def test_equal_legs_carry_half_of_the_sum_each(one: Leg, load: float, n: float) -> None:
    x = stroke_under(Fork(one, one), load, n)
    springless = replace(one, rate=0.0, closed_pressure=one.ride_pressure, air_compressed=1e3)
    alone = Fork(one, springless)
    alone = Fork(alone.left, replace(alone.right, bind=one.bind, air_compressed=1e3))
    assert stroke_under(alone, load / 2, n) == pytest.approx(min(x, alone.end), abs=1e-5)


@QUICK
@given(forks, exponents, st.integers(1, 7))
def test_arrays_answer_as_single_numbers_do(any_fork: Fork, n: float, count: int) -> None:
    several = np.linspace(0, 9000, count)
    together = np.asarray(stroke_under(any_fork, several, n))
    np.testing.assert_array_equal(together, [stroke_under(any_fork, float(load), n) for load in several])


def test_a_heavier_load_never_stands_higher() -> None:
    found = np.asarray(stroke_under(fork(60), np.linspace(0, 30_000, 400), 1.2))
    assert np.all(np.diff(found) >= -1e-9) and found[0] == 0.0


@pytest.mark.parametrize(("limit", "change", "load"), [
    ("hydraulic lock", {"over_ml": 100}, 2400.0),
    ("hydraulic lock", {"over_ml": 185}, 30_000.0),
    ("air ramp", {"over_ml": 50}, 2400.0),
    ("coil bind", {"bind": 0.110}, 4000.0),
    ("coil bind", {"bind": 0.100, "over_ml": 100}, 60_000.0),
    ("spring", {"rate": 14_000.0, "over_ml": -200}, 2400.0),
    ("full stroke", {"over_ml": -60}, 4500.0),
])
def test_what_ends_the_stroke_is_named(limit: str, change: dict[str, Any], load: float) -> None:
    assert limited_by(fork(**change), load, 1.2) == limit


def test_one_over_full_leg_is_named_as_a_lock() -> None:
    assert limited_by(Fork(leg(120), leg()), 4500.0, 1.2) == "hydraulic lock"


def test_loads_along_the_fork_follow_the_stated_formulas() -> None:
    # Arithmetic: 98 − 16 kg sprung at 24°: 82 × 9.80665 × 0.913545; braking with all of 278 kg on the front wheel.
    assert static_load(82.0, np.radians(24)) == pytest.approx(734.62, abs=0.01)
    expected = ((278 - 16) * np.cos(np.radians(24)) + 278 * np.sin(np.radians(24))) * 9.80665
    assert braking_load(278.0, 16.0, np.radians(24), 1.0) == pytest.approx(expected, rel=1e-12)
    assert braking_load(278.0, 16.0, np.radians(24), 0.0) == pytest.approx(
        static_load(278.0 - 16.0, np.radians(24)), rel=1e-12)
