"""A shock works on the wheel through a linkage: force by the ratio, rate by its square and by its change."""
from __future__ import annotations

from math import radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from analysis.linkage import (
    Arm,
    LinkageProblem,
    arm_linkage,
    constant_linkage,
    mean_ratio,
    polynomial_linkage,
    table_linkage,
    wheel_travel_at,
)
from analysis.rear import Rear, Shock, bump_push, gas_push, shock_push, wheel_force, wheel_push

ARM = arm_linkage(Arm(length=0.55, along=0.30, top_x=-0.20, top_y=0.30, droop=radians(12)), 0.2)
LEVEL = 0.55 * sin(radians(12))
"""Wheel travel at which that arm is level."""
TABLE = table_linkage([0, 0.02, 0.04, 0.06, 0.1, 0.14], [0, 0.0098, 0.0199, 0.0304, 0.053, 0.0775])
RISING = polynomial_linkage((0, 0.45, 0.6), 0.15)
FULL = Shock(95e3, 0.012, 0.065, rod_area=2.0e-4, gas_pressure=10e5, gas_volume=6e-5, exponent=1.2,
             bump_length=0.012, bump_rate=3e5)
LINKAGES = [ARM, TABLE, RISING, constant_linkage(0.5, 0.13)]


# Arithmetic: F = k MR² for a constant ratio; 90 N/mm through 0.5 is 22.5 N/mm.
def test_a_constant_ratio_counts_twice():
    rear = Rear(Shock(90e3, 0.0, 0.1), constant_linkage(0.5, 0.12))
    assert wheel_push(rear, 0.05)[1] == pytest.approx(22.5e3, rel=1e-12)
    # Common trade arithmetic: 95 N/mm over 2.0² and 2.4² (wheel over shock) is 23.8 and 16.5 N/mm.
    for over, expected in ((2.0, 23.8e3), (2.4, 16.5e3)):
        assert wheel_push(Rear(Shock(95e3, 0.0, 0.1), constant_linkage(1 / over, 0.12)), 0.03)[1] == pytest.approx(
            expected, abs=60)
    assert 1 / mean_ratio(constant_linkage(62 / 150, 0.15)) == pytest.approx(2.42, abs=5e-3)


# Arithmetic from k_w = k MR² + F_s dMR/dz: arm 0.55 m, shock 0.30 m along it, top 0.20 m behind and 0.30 m above the
# pivot, 90 N/mm, 500 N with the arm 12° below level; figures are for the arm level.
def test_an_arm_level_with_its_pivot():
    rear = Rear(Shock(90e3, 500 / 90e3, 0.12), ARM)
    assert ARM.ratio(LEVEL) == pytest.approx(0.51746, abs=5e-6)
    assert wheel_push(rear, LEVEL)[1] == pytest.approx(25.355e3, abs=0.5)


def spring_energy(rear: Rear, z: float) -> float:
    squeezed = rear.shock.preload + rear.linkage.stroke(z)
    return 0.5 * rear.shock.rate * squeezed**2


def test_the_wheel_rate_is_the_second_derivative_of_the_energy():
    """Second way: no ratio and no force enters, only the energy in the spring."""
    rear, h = Rear(Shock(90e3, 500 / 90e3, 0.12), ARM), 1e-4
    low, here, high = (spring_energy(rear, LEVEL + step) for step in (-h, 0.0, h))
    assert (high - low) / (2 * h) == pytest.approx(wheel_force(rear, LEVEL), rel=1e-6)
    assert (high - 2 * here + low) / h**2 == pytest.approx(25.355e3, abs=2)


@pytest.mark.parametrize("linkage", LINKAGES)
def test_work_at_the_wheel_is_work_at_the_shock(linkage):
    rear, end = Rear(FULL, linkage), 0.8 * linkage.travel
    stroke = float(linkage.stroke(end))
    corner = [FULL.stroke - FULL.bump_length]
    at_wheel = quad(lambda z: wheel_force(rear, z), 0, end, epsrel=1e-10, limit=400,
                    points=[float(wheel_travel_at(linkage, corner[0]))])[0]
    at_shock = quad(lambda s: shock_push(FULL, s)[0], 0, stroke, epsrel=1e-10, limit=400, points=corner)[0]
    assert at_wheel == pytest.approx(at_shock, rel=1e-7)


@pytest.mark.parametrize("linkage", LINKAGES)
def test_ratio_and_its_change_are_the_slopes_of_the_stroke(linkage):
    z, h = np.linspace(0.011, 0.93, 23) * linkage.travel, 1e-6
    slope = (np.asarray(linkage.stroke(z + h)) - linkage.stroke(z - h)) / (2 * h)
    np.testing.assert_allclose(linkage.ratio(z), slope, rtol=1e-6)
    change = (np.asarray(linkage.ratio(z + h)) - linkage.ratio(z - h)) / (2 * h)
    np.testing.assert_allclose(linkage.bend(z), change, rtol=1e-4, atol=1e-6)


@pytest.mark.parametrize("linkage", LINKAGES)
def test_arrays_and_single_numbers_agree(linkage):
    rear, z = Rear(FULL, linkage, count=2), np.linspace(0, 0.9, 7) * linkage.travel
    for which in (0, 1):
        np.testing.assert_allclose(wheel_push(rear, z)[which], [wheel_push(rear, float(one))[which] for one in z],
                                   rtol=1e-12)
    assert isinstance(wheel_push(rear, 0.01)[0], float)
    np.testing.assert_allclose(wheel_travel_at(linkage, linkage.stroke(z)), z, atol=1e-12)


@given(bend=st.floats(0, 4), preload=st.floats(0, 0.03), gas=st.floats(0, 2e6))
def test_force_never_falls_with_travel_where_the_ratio_rises(bend, preload, gas):
    shock = Shock(80e3, preload, 0.2, rod_area=1.5e-4, gas_pressure=gas, gas_volume=8e-5)
    linkage = polynomial_linkage((0, 0.3, bend / 2), 0.15)
    force = np.asarray(wheel_force(Rear(shock, linkage), np.linspace(0, 0.15, 60)))
    assert np.all(np.diff(force) > 0) and np.all(np.isfinite(force))


def test_two_shocks_carry_twice_as_much():
    one, two = (np.asarray(wheel_push(Rear(FULL, TABLE, n), 0.07)) for n in (1, 2))
    np.testing.assert_allclose(two, 2 * one)


# Arithmetic: 10 bar on a 16 mm rod pushes 201.06 N; a gas room shrunk to two thirds at constant heat stands at
# 1.5 times the absolute pressure.
def test_gas_pushes_the_rod_out():
    area = np.pi / 4 * 0.016**2
    held = Shock(0.0, 0.0, 0.06, rod_area=area, gas_pressure=10e5)
    assert gas_push(held, 0.0)[0] == pytest.approx(201.06, abs=5e-3)
    assert gas_push(held, 0.05) == (pytest.approx(201.06, abs=5e-3), 0.0)
    tight = Shock(0.0, 0.0, 0.06, rod_area=area, gas_pressure=10e5, gas_volume=3 * area * 0.05)
    assert gas_push(tight, 0.05)[0] == pytest.approx(area * (1.5 * (10e5 + 101325) - 101325), rel=1e-12)
    step = (gas_push(tight, 0.050001)[0] - gas_push(tight, 0.049999)[0]) / 2e-6
    assert gas_push(tight, 0.05)[1] == pytest.approx(step, rel=1e-6)
    assert gas_push(tight, 0.2)[0] == np.inf
    assert gas_push(Shock(90e3, 0.01, 0.06), 0.03) == (0.0, 0.0)


def test_the_bump_rubber_is_met_only_near_the_end():
    assert bump_push(FULL, 0.052)[0] == 0.0
    assert bump_push(FULL, 0.063)[0] == pytest.approx(3e5 * 0.010)


@pytest.mark.parametrize("build, words", [
    (lambda: table_linkage([0, 0.02], [0, 0.01]), "3 pairs"),
    (lambda: table_linkage([0, 0.02, 0.04], [0.001, 0.01, 0.02]), "not 0:0"),
    (lambda: table_linkage([0, 0.04, 0.02], [0, 0.01, 0.02]), "wheel travel does not rise from pair 2 to pair 3"),
    (lambda: table_linkage([0, 0.02, 0.04], [0, 0.02, 0.02]), "shock stroke does not rise"),
    (lambda: table_linkage([0, 0.02, 0.04], [0, 0.06, 0.12]), "further than the wheel"),
    (lambda: table_linkage([0, float("nan"), 0.04], [0, 0.01, 0.02]), "no number"),
    (lambda: polynomial_linkage((0, 0.5, -3), 0.15), "at 84 mm of wheel travel"),
    (lambda: polynomial_linkage((0.01, 0.5), 0.15), "moved before the wheel"),
    (lambda: constant_linkage(0.5, 0.0), "travel is not above 0"),
    (lambda: arm_linkage(Arm(0.1, 0.05, -0.1, 0.2, 0.2), 0.3), "cannot reach"),
    (lambda: arm_linkage(Arm(0.5, 0.3, -0.2, -0.3, 0.2), 0.1), "does not close"),
])
def test_a_linkage_that_cannot_be_is_refused_in_words(build, words):
    with pytest.raises(LinkageProblem, match=words) as refused:
        build()
    assert refused.value.mend.endswith(".")


def test_a_stroke_that_the_shock_never_makes_is_the_end_of_the_travel():
    strokes = np.array([0.5 * TABLE.stroke(0.14), TABLE.stroke(0.14), 0.2])
    found = wheel_travel_at(TABLE, strokes)
    assert TABLE.stroke(found[0]) == pytest.approx(strokes[0]) and found[1:].tolist() == [0.14, 0.14]
    assert wheel_travel_at(TABLE, 0.2) == 0.14
