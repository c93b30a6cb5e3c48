"""Damping from what a rider counts or reads off a film: overshoot, turning points, crossings."""
from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.decay import (
    Decay,
    Refused,
    damping_ratio,
    friction_share,
    log_decrement,
    natural_frequency,
    next_height,
    overshoot,
    ratio_from_overshoot,
)
from analysis.decay_fit import Fit, evidence, plainest
from analysis.decay_swings import damped_frequency, from_count, from_overshoot, from_peaks
from tests.analysis.bounces import simulate

ratios = st.floats(0.01, 0.9)


# Source: Rao, Mechanical Vibrations, shock absorber for a motorcycle (read in a posted copy).
def test_a_published_motorcycle_shock_absorber():
    zeta = ratio_from_overshoot(0.25)
    natural = 2 * np.pi * natural_frequency(1 / 2, zeta)
    assert zeta == pytest.approx(0.4037, abs=5e-5)
    assert 200 * natural**2 == pytest.approx(2_358.3, abs=1)
    assert 2 * zeta * 200 * natural == pytest.approx(554.5, abs=0.3)


# Source: Thomson, Theory of Vibration, Example 2.7-1 (read in a posted copy).
def test_a_published_decrement():
    assert damping_ratio(0.429) == pytest.approx(0.0681, abs=5e-5)
    assert log_decrement(0.0681) == pytest.approx(0.429, abs=5e-4)


# Arithmetic: common table of a step's overshoot against the damping ratio.
@pytest.mark.parametrize("share, zeta", [(0.05, 0.69), (0.10, 0.59), (0.20, 0.46), (0.30, 0.36), (0.50, 0.22)])
def test_overshoot_and_ratio(share, zeta):
    assert ratio_from_overshoot(share) == pytest.approx(zeta, abs=0.005)
    assert overshoot(ratio_from_overshoot(share)) == pytest.approx(share)


@given(zeta=ratios)
def test_ratio_and_decrement_are_each_other_s_inverse(zeta):
    assert damping_ratio(log_decrement(zeta)) == pytest.approx(zeta, rel=1e-9)
    assert overshoot(zeta) ** 2 == pytest.approx(np.exp(-log_decrement(zeta)))


def test_arrays_and_scalars_agree():
    many = np.array([0.05, 0.2, 0.6])
    for of in (log_decrement, overshoot, damping_ratio, lambda z: natural_frequency(2.0, z),
               lambda z: next_height(0.04, z, 0.001)):
        np.testing.assert_allclose(of(many), [of(float(z)) for z in many])


# From memory: friction alone takes 4F/k off each cycle, in a straight line.
def test_friction_alone_takes_the_same_length_each_time():
    assert next_height(next_height(0.04, 0.0, 0.002), 0.0, 0.002) == pytest.approx(0.04 - 4 * 0.002)


@settings(max_examples=8)
@given(zeta=st.floats(0, 0.5), friction=st.floats(0, 0.003))
def test_the_next_turning_point_is_that_of_the_integrated_motion(zeta, friction):
    half = 0.25 / np.sqrt(1 - zeta**2)
    at = np.array([0.0, half, 10.0])
    there = simulate(at, zeta=zeta, friction=friction, hertz=2, push=0.04)[1]
    assert there == pytest.approx(next_height(0.04, zeta, friction), abs=2e-6)


def test_counting_brackets_the_ratio():
    assert from_count(0).low == pytest.approx(ratio_from_overshoot(0.10)) and from_count(0).high == 1
    once, more = from_count(1), from_count(2, or_more=True)
    assert once.low < 0.4 < once.high and more.low == 0
    assert more.high < once.high < from_count(0).high
    with pytest.raises(ValueError):
        from_count(-1)


@given(zeta=st.floats(0.02, 0.85))
def test_whoever_counts_what_is_seen_brackets_the_truth(zeta):
    seen = sum(overshoot(zeta) ** n > 0.06 for n in range(1, 60))
    assert from_count(seen).low <= zeta <= from_count(seen).high
    assert from_count(seen, or_more=True).low <= zeta <= from_count(seen, or_more=True).high


def test_one_push_and_one_swing_past():
    result = from_overshoot(0.040, 0.008, 0.002, half_time=0.28, half_time_sd=0.004)
    assert result.zeta.value == pytest.approx(0.456, abs=0.001)
    assert result.zeta.low < 0.40 and result.zeta.high > 0.51
    assert result.damped_hz.value == pytest.approx(1 / 0.56)
    # 0.28 s are off by 1.96 × 4 ms at most.
    assert result.damped_hz.low == pytest.approx(1 / (2 * 0.28784)) and result.damped_hz.high == pytest.approx(
        1 / (2 * 0.27216))
    assert result.natural_hz.low < result.natural_hz.value < result.natural_hz.high
    assert result.natural_hz.value == pytest.approx(1 / 0.56 / np.sqrt(1 - 0.456**2), rel=1e-3)
    assert result.friction is None and "friction" in result.remark


@pytest.mark.parametrize("push, past, reason", [
    (0.002, 0.001, "no motion"), (0.02, 0.05, "not a decay"), (0.04, 0.001, "too small to read")])
def test_a_swing_that_says_nothing_is_refused(push, past, reason):
    assert from_overshoot(push, past, 0.002).reason == reason


def test_a_swing_too_small_to_read_gives_the_least_ratio():
    # Arithmetic: 4 mm of 40 is 10 %, that is 0.59.
    assert "0.59 or more" in from_overshoot(0.04, 0.001, 0.002).words


def _points(zeta, friction, count, push=0.05):
    heights = [push]
    for _ in range(count - 1):
        heights.append(float(next_height(heights[-1], zeta, friction)))
    return np.array([(-1) ** (i + 1) * h for i, h in enumerate(heights)])


@given(zeta=st.floats(0.03, 0.25), share=st.floats(0, 0.3), offset=st.floats(-1, 1), larger=st.floats(0.1, 10))
@settings(max_examples=12)
def test_exact_turning_points_give_back_both_losses(zeta, share, offset, larger):
    friction = share * 0.05 * float(overshoot(zeta)) ** 5 / 6  # still moving at the sixth point
    points = _points(zeta, friction, 6)
    result = from_peaks(larger * points + offset, sd=larger * 1e-5)
    assert isinstance(result, Decay)
    assert result.zeta.value == pytest.approx(zeta, abs=2e-3)
    assert result.friction.value == pytest.approx(larger * friction, abs=larger * 2e-5)


def test_the_interval_of_read_turning_points_holds_the_truth():
    draw = np.random.default_rng(8)
    inside = []
    for _ in range(100):
        zeta, friction = draw.uniform(0.05, 0.2), draw.uniform(0, 0.0006)
        result = from_peaks(_points(zeta, friction, 6) + draw.normal(0, 0.001, 6), sd=0.001)
        if isinstance(result, Decay):
            inside.append(result.zeta.low <= zeta <= result.zeta.high)
    assert len(inside) > 75 and 0.88 <= np.mean(inside) <= 0.99


def test_turning_points_that_shrink_in_a_straight_line_are_refused():
    result = from_peaks([-0.040, 0.030, -0.020, 0.010], sd=0.001, rest=0.0)
    assert isinstance(result, Refused) and result.reason == "friction dominates"
    assert result.friction.value == pytest.approx(0.005, abs=1e-4)  # arithmetic: 2 F/k a swing is 10 mm
    assert "10.0 mm" in result.words


def test_turning_points_that_shrink_by_shares_are_damping():
    result = from_peaks([-0.040, 0.020, -0.010, 0.005], sd=0.0005, rest=0.0)
    assert result.model == "viscous" and result.zeta.value == pytest.approx(ratio_from_overshoot(0.5), abs=0.01)
    assert result.delta.value == pytest.approx(log_decrement(result.zeta.value))


def test_three_timed_points_give_the_frequency_too():
    result = from_peaks([-0.04, 0.01, -0.0025], [0.0, 1.0, 2.0], rest=0.0, sd=0.001, time_sd=0.01)
    assert result.damped_hz.value == pytest.approx(0.5)
    assert result.zeta.low < 0.4037 < result.zeta.high


@pytest.mark.parametrize("positions, reason", [
    ([0.04], "too few swings"), ([-0.04, 0.02], "too few swings"), ([0.0, 0.0005, 0.0001, 0.0004], "no motion"),
    ([-0.04, -0.02, 0.01, 0.0], "not a decay"), ([-0.04, float("nan"), 0.02, 0.0], "not a decay"),
    ([-0.01, 0.02, -0.04, 0.08, -0.16], "not a decay")])
def test_points_that_cannot_be_a_decay_are_refused(positions, reason):
    result = from_peaks(positions, sd=0.001)
    assert isinstance(result, Refused) and result.reason == reason


def test_crossings_lie_half_a_cycle_apart():
    result = damped_frequency([0.10, 0.35, 0.61, 0.85, 1.10])
    assert result.value == pytest.approx(2.0, rel=0.01) and result.low < 2 < result.high
    assert damped_frequency([0.1, 0.35], sd=0.01).value == pytest.approx(2.0)
    assert damped_frequency([0.1, 0.35]).reason == "too few swings"
    assert damped_frequency([0.1, 0.3, 0.2]).reason == "not a decay"


def test_the_share_that_friction_took():
    assert friction_share(0.04, 0.0, 0.004, 3) == pytest.approx(1.0)
    assert friction_share(0.04, 0.2, 0.0, 3) == 0.0
    assert 0 < friction_share(0.04, 0.2, 0.002, 3) < 0.5


def test_times_that_run_backwards_are_refused():
    result = from_peaks([-0.04, 0.01, -0.0025], [0.0, 2.0, 1.0], rest=0.0, sd=0.001)
    assert isinstance(result, Refused) and result.reason == "not a decay"


def test_swings_that_have_ended_lose_nothing_more():
    # Arithmetic: without damping 4 mm of friction take 8 mm a swing: 10, then 2 mm, and it stays.
    assert friction_share(0.010, 0.0, 0.004, 9) == pytest.approx(1.0)
    assert friction_share(0.003, 0.2, 0.004, 9) == 0.0


def test_three_points_without_a_rest_give_damping_and_friction_together():
    # Arithmetic: 50 and 12.5 mm from one to the next are a quarter, whatever the rest is.
    result = from_peaks([-0.04, 0.01, -0.0025], sd=0.0005)
    assert result.zeta.value == pytest.approx(0.4037, abs=1e-3)
    assert result.friction is None and "friction cannot be told" in result.remark


def test_whole_numbers_without_a_sign_go_down_as_well_as_up():
    whole = np.array([40, 0, 30, 8, 24], dtype=np.uint8)
    assert from_peaks(whole, sd=0.5) == from_peaks(whole.astype(float), sd=0.5)
    assert isinstance(from_peaks(whole, sd=0.5), Decay)


def test_a_fit_without_any_remainder_is_weighed_by_how_little_it_needs():
    exact = {name: Fit({}, free, np.eye(len(free)), np.zeros(30), False, 1.96) for name, free in (
        ("viscous", ("zeta",)), ("both", ("zeta", "friction")))}
    weights = evidence(exact)
    assert weights["both"] - weights["viscous"] == pytest.approx(np.log(30))


def test_the_plainer_model_stands_until_both_losses_are_clearly_better():
    assert plainest({"viscous": 10.0, "friction": 12.0, "both": 8.1}) == "viscous"
    assert plainest({"viscous": 10.0, "friction": 9.9, "both": 9.0}) == "friction"
    assert plainest({"viscous": 10.0, "friction": 12.0, "both": 7.9}) == "both"


# Points of swings with that damping and friction, each read to a whole millimetre.
@pytest.mark.parametrize("zeta, friction, points", [
    (0.045, 0.0020, [-50, 40, -31, 23, -16, 10, -5]), (0.067, 0.0028, [-50, 35, -24, 14, -6])])
def test_a_light_damping_beside_much_friction_is_found_though_both_shrink_alike(zeta, friction, points):
    result = from_peaks(np.array(points) * 1e-3, sd=0.0005)
    assert isinstance(result, Decay)
    assert result.zeta.value == pytest.approx(zeta, abs=0.01)
    assert result.friction.value == pytest.approx(friction, abs=0.0003)
