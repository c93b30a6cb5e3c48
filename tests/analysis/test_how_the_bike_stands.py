"""How the bike stands with both sags and the tubes in the yokes, and what its brakes can do."""
from __future__ import annotations

from math import cos, degrees, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.attitude import (
    Frame,
    Stand,
    attitude,
    braking_limit,
    effect,
    front_skids_at,
    height_after,
    load_transfer,
    rear_lifts_at,
)

FRAME = Frame(radians(24), 0.030, 0.300, 1.400)
moves = st.floats(0, 0.1)


# Arithmetic: 30 mm of stroke, wheelbase 1400 mm, rake 24°, radius 300 mm, offset 30 mm, rear held.
def test_a_dip_of_the_fork():
    stands = attitude(FRAME, Stand(fork=0.030))
    assert degrees(stands.rake) == pytest.approx(22.869, abs=5e-4)
    assert stands.trail * 1e3 == pytest.approx(93.97, abs=5e-3)
    assert stands.normal_trail == pytest.approx(stands.trail * cos(stands.rake), rel=1e-12)


# Sharp 1994, read in a posted copy: rake 0.47 rad, normal trail 0.094 m, ground trail 0.10543 m.
def test_a_published_motorcycle_before_it_sags():
    frame = Frame(0.47, 0.3 * np.sin(0.47) - 0.094, 0.3, 1.414)
    stands = attitude(frame, Stand())
    assert stands.normal_trail == pytest.approx(0.094, abs=1e-12)
    assert stands.trail == pytest.approx(0.10543, abs=5e-6)
    assert stands.wheelbase == pytest.approx(1.414)


@given(stroke=moves)
def test_tubes_pushed_up_are_as_good_as_stroke(stroke):
    assert attitude(FRAME, Stand(raised=stroke)) == attitude(FRAME, Stand(fork=stroke))


@given(front=moves, rear=moves)
def test_the_rear_low_gives_trail_back(front, rear):
    low = attitude(FRAME, Stand(fork=front, rear=rear))
    assert low.trail >= attitude(FRAME, Stand(fork=front)).trail - 1e-12
    level = attitude(FRAME, Stand(fork=front, rear=front * cos(FRAME.rake)))
    assert level.rake == pytest.approx(FRAME.rake, abs=1e-12)


def test_what_a_change_does_is_after_less_before():
    now = Stand(fork=0.038, rear=0.035)
    change = effect(FRAME, now, raised=0.003, rear=-0.005)
    after, before = attitude(FRAME, Stand(0.038, 0.003, 0.030)), attitude(FRAME, now)
    assert change.trail == pytest.approx(after.trail - before.trail, abs=1e-15)
    assert change.trail < 0 and change.rake < 0
    small = effect(FRAME, now, fork=1e-6)
    assert effect(FRAME, now, fork=0.001).trail == pytest.approx(1000 * small.trail, rel=0.02)


# Arithmetic M a h/b: 285 kg at 1 g, centre 650 mm high, wheelbase 1400 mm: 132.3 kg.
def test_load_moves_to_the_front_under_braking():
    assert load_transfer(285.0, 1.0, 0.650, 1.400) == pytest.approx(132.32, abs=5e-3)


@given(share=st.floats(0.35, 0.6), height=st.floats(0.4, 0.9), base=st.floats(1.1, 1.8), grip=st.floats(0.3, 1.6))
def test_the_limit_is_where_forces_balance(share, height, base, grip):
    """Second way: at the limit either the rear wheel carries nothing, or the front tyre uses all its grip."""
    limit, ends = braking_limit(share, height, base, grip)
    on_front = share + load_transfer(1.0, limit, height, base)
    assert limit <= grip * min(on_front, 1.0) + 1e-9
    if ends == "rear lifts":
        assert on_front == pytest.approx(1.0) and grip >= limit - 1e-9
    else:
        assert limit == pytest.approx(grip * on_front) and on_front < 1.0 + 1e-9


def test_a_short_tall_bike_lifts_and_a_long_low_one_slides():
    assert braking_limit(0.5, 0.75, 1.35, 1.0) == (pytest.approx(0.9), "rear lifts")
    limit, ends = braking_limit(0.48, 0.45, 1.70, 0.8)
    assert ends == "front slides" and limit < 0.8
    assert front_skids_at(0.5, 1.4, 1.4, 1.0) == np.inf
    np.testing.assert_allclose(rear_lifts_at(0.5, np.array([0.6, 0.7]), 1.4), [7 / 6, 1.0])


# Sharp 1994 (read in a posted copy) gives 43.50 % on the front; arithmetic from it: centre 0.565 b behind the front.
def test_the_rear_lifts_where_the_centre_stands_over_the_front_contact():
    assert rear_lifts_at(0.4350, 0.6, 1.4) == pytest.approx(0.565 * 1.4 / 0.6)


def test_sinking_lowers_the_centre_by_each_ends_share():
    same = Stand(fork=0.03 / cos(FRAME.rake), rear=0.03)
    assert height_after(0.65, 0.47, FRAME, same) == pytest.approx(0.62)
    assert height_after(0.65, 0.47, FRAME, Stand(rear=0.03)) == pytest.approx(0.65 - 0.53 * 0.03)
