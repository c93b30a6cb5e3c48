"""Rear sag under a load, and the preload that brings a sag back."""
from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from analysis.linkage import constant_linkage, polynomial_linkage
from analysis.rear import (
    Rear,
    Shock,
    ended_by,
    preload_for,
    preload_from_lengths,
    steps_for,
    travel_under,
    wheel_force,
    wheel_load,
    with_preload,
)

REAR = Rear(Shock(95e3, 0.012, 0.065, rod_area=2e-4, gas_pressure=8e5, bump_length=0.01, bump_rate=2e5),
            polynomial_linkage((0, 0.44, 0.4), 0.14))
loads = st.floats(700, 4000)


@given(load=loads)
def test_the_sag_is_the_root_that_a_general_solver_finds(load):
    """Second way: scipy's brentq on the force."""
    ends = wheel_force(REAR, 0.0) - load, wheel_force(REAR, float(REAR.travel)) - load
    sag = travel_under(REAR, load)
    if ends[0] < 0 < ends[1]:
        assert sag == pytest.approx(brentq(lambda z: wheel_force(REAR, z) - load, 0, float(REAR.travel), xtol=1e-13),
                                    abs=1e-10)
    else:
        assert sag in (0.0, float(REAR.travel))


@given(load=loads, more=st.floats(0, 500))
def test_more_load_is_never_less_sag(load, more):
    assert travel_under(REAR, load + more) >= travel_under(REAR, load)


@given(load=loads, preload=st.floats(0, 0.03), more=st.floats(0, 0.01))
def test_more_preload_is_never_more_sag(load, preload, more):
    assert travel_under(with_preload(REAR, preload + more), load) <= travel_under(with_preload(REAR, preload), load)


@example(load=7000.0, sag=0.125)  # on the rubber
@given(load=st.floats(1200, 2600), sag=st.floats(0.01, 0.11))
def test_the_preload_for_a_sag_gives_that_sag(load, sag):
    preload = preload_for(REAR, load, sag)
    if preload + REAR.linkage.stroke(sag) > 1e-4 and preload > -0.005:
        found = with_preload(REAR, preload)
        if wheel_force(found, 0.0) < load:
            assert travel_under(found, load) == pytest.approx(sag, abs=1e-9)


def test_a_light_load_tops_out_and_a_heavy_one_uses_all():
    assert travel_under(REAR, 100.0) == 0.0
    assert travel_under(REAR, 1e6) == float(REAR.travel)
    np.testing.assert_allclose(travel_under(REAR, np.array([100.0, 1800.0, 1e6])),
                               [travel_under(REAR, w) for w in (100.0, 1800.0, 1e6)])


# Arithmetic of the trade: passenger 65 kg, 85 % of it on the rear, and a box of 20 kg, 110 % of it: 758 N (with g
# 9.81); at 23.75 N/mm that is 31.9 mm more sag, and with a ratio of 2.0 (wheel over shock) 16 mm of collar.
def test_a_passenger_and_a_box_take_sixteen_millimetres_of_collar():
    extra = float(wheel_load(0.85 * 65 + 1.10 * 20))
    assert extra == pytest.approx(758, abs=1)
    rear = Rear(Shock(95e3, 0.010, 0.1), constant_linkage(0.5, 0.15))
    before, after = travel_under(rear, 1200.0), travel_under(rear, 1200.0 + extra)
    assert (after - before) * 1e3 == pytest.approx(31.9, abs=0.05)
    assert (preload_for(rear, 1200.0 + extra, before) - 0.010) * 1e3 == pytest.approx(31.9 / 2, abs=0.02)


# Arithmetic: a 160 mm spring held to 148 mm; 16 mm in turns of 1.25 mm.
def test_preload_in_lengths_and_turns():
    assert preload_from_lengths(0.160, 0.148) == pytest.approx(0.012)
    assert steps_for(0.016, 0.00125) == pytest.approx(12.8)


def test_what_ends_the_travel_is_named():
    link = constant_linkage(0.5, 0.13)
    assert ended_by(Rear(Shock(90e3, 0.01, 0.065), link)) == "full travel"
    assert ended_by(Rear(Shock(90e3, 0.01, 0.060), link)) == "shock stroke"
    bound = Rear(Shock(90e3, 0.01, 0.065, closes=0.06), link)
    assert ended_by(bound) == "coil bind"
    assert float(bound.travel) == pytest.approx(0.05 / 0.5)  # 60 mm of room less 10 mm of preload, through 0.5


def test_unsprung_mass_does_not_rest_on_the_spring():
    assert wheel_load(120.0, 20.0) == pytest.approx(980.665)
    assert wheel_load(10.0, 20.0) == 0.0
    assert travel_under(replace(REAR, count=2), 2400.0) == pytest.approx(travel_under(REAR, 1200.0))
