"""A recorded bounce gives back the damping and friction it was simulated with, and is refused where it cannot."""
from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.decay import Decay, Refused
from analysis.decay_trace import bounce, frame_times, from_trace
from tests.analysis.bounces import simulate

AT = np.linspace(0, 2.5, 200)  # s
NOISE = 0.0004  # m: a tape read off a film


def recorded(zeta=0.2, friction=0.0, hertz=1.9, push=0.04, at=AT, noise=NOISE, seed=5):
    clean = simulate(at, zeta=zeta, friction=friction, hertz=hertz, push=push)
    return clean + np.random.default_rng(seed).normal(0, noise, at.size)


@pytest.fixture(scope="module")
def forty():
    """Forty bounces of drawn damping, friction, frequency and spacing in time, fixed seed."""
    draw = np.random.default_rng(20)
    results = []
    for _ in range(40):
        truth = {"zeta": draw.uniform(0.03, 0.45), "friction": draw.uniform(0, 0.0015), "hertz": draw.uniform(1.2, 3)}
        at = np.sort(draw.uniform(0, 5 / truth["hertz"], 160))
        at[0] = 0
        trace = simulate(at, push=0.045, **truth) + draw.normal(0, NOISE, at.size)
        results.append((truth, from_trace(at, trace + draw.uniform(-1, 1))))
    return results


# Second way: the equation of motion integrated numerically against the piecewise closed form.
@pytest.mark.parametrize("zeta, friction", [(0.1, 0.0), (0.0, 0.004), (0.3, 0.001), (0.05, 0.003), (0.6, 0.0)])
def test_the_closed_form_is_the_integrated_motion(zeta, friction):
    values = {"start": 0.0, "height": -0.04, "half": 0.25 / np.sqrt(1 - zeta**2), "zeta": zeta,
              "friction": friction, "rest": 0.0, "drift": 0.0}
    np.testing.assert_allclose(bounce(AT, values), simulate(AT, zeta=zeta, friction=friction, hertz=2, push=0.04),
                               atol=2e-6)


def test_the_interval_holds_the_truth_about_95_times_in_100(forty):
    read = [(truth, result) for truth, result in forty if isinstance(result, Decay)]
    assert len(read) > 35
    for of, name in ((lambda r: r.zeta, "zeta"), (lambda r: r.friction, "friction"), (lambda r: r.natural_hz, "hertz")):
        inside = np.mean([of(result).low <= truth[name] <= of(result).high for truth, result in read])
        assert inside >= 0.88, name


def test_few_sound_bounces_are_refused(forty):
    reasons = {result.reason for _, result in forty if isinstance(result, Refused)}
    assert reasons <= {"friction dominates", "too few swings"}


@pytest.mark.parametrize("zeta, friction", [(0.0, 0.004), (0.01, 0.005), (0.0, 0.002)])
def test_friction_that_stops_the_bounce_is_refused_and_sized(zeta, friction):
    result = from_trace(AT, recorded(zeta, friction))
    assert isinstance(result, Refused) and result.reason == "friction dominates"
    assert result.friction is not None and result.friction.value == pytest.approx(friction, abs=0.0003)


def test_a_little_friction_is_reported_beside_the_damping():
    result = from_trace(AT, recorded(0.15, 0.0015))
    assert isinstance(result, Decay) and result.model == "both"
    assert result.zeta.value == pytest.approx(0.15, abs=0.01)
    assert result.friction.value == pytest.approx(0.0015, abs=2e-4)
    assert result.natural_hz.value == pytest.approx(1.9, rel=0.01)
    assert result.damped_hz.value == pytest.approx(1.9 * np.sqrt(1 - 0.15**2), rel=0.01)


def test_without_friction_the_plainest_model_is_named():
    assert from_trace(AT, recorded(0.15)).model == "viscous"


@settings(max_examples=4)
@given(zeta=st.floats(0.05, 0.4), slower=st.floats(0.05, 20), larger=st.floats(0.2, 5), offset=st.floats(-3, 3))
def test_clock_scale_and_zero_change_nothing_but_the_frequency(zeta, slower, larger, offset):
    trace = recorded(zeta)
    plain, other = from_trace(AT, trace), from_trace(AT * slower, -larger * trace + offset)
    assert other.zeta.value == pytest.approx(plain.zeta.value, abs=1e-4)
    assert other.natural_hz.value * slower == pytest.approx(plain.natural_hz.value, rel=1e-3)
    assert other.friction.value == pytest.approx(larger * plain.friction.value, abs=larger * 2e-6)


def test_a_camera_that_drifts_is_seen_through():
    plain, drifting = from_trace(AT, recorded(0.2)), from_trace(AT, recorded(0.2) + 0.002 * AT)
    assert drifting.zeta.value == pytest.approx(plain.zeta.value, abs=0.002)


def test_the_hold_before_letting_go_is_cut_off():
    held = np.linspace(-1, 2.5, 300)
    trace = recorded(0.2, at=np.maximum(held, 0))
    assert from_trace(held, trace).zeta.value == pytest.approx(0.2, abs=0.01)


def test_slow_motion_counts_in_the_camera_s_own_frames():
    # Arithmetic: 96 frames at 240 a second are 0.4 s.
    assert frame_times([0, 96], 240).tolist() == [0, 0.4]
    frames = np.arange(0, 600, 4)
    at = frame_times(frames, 240)
    assert from_trace(at, recorded(0.2, at=at)).natural_hz.value == pytest.approx(1.9, rel=0.01)


def test_a_record_read_to_whole_millimetres_will_do():
    result = from_trace(AT, np.round(recorded(0.2, noise=0), 3))
    assert result.zeta.value == pytest.approx(0.2, abs=0.01)


def _broken(at, trace):
    return {
        "no motion": (at, np.random.default_rng(1).normal(0, NOISE, at.size)),
        "no motion ": (at, np.zeros(at.size)),
        "clipped": (at, np.minimum(trace, 0.009)),
        "sampled too slowly": (np.arange(40) * 0.1, recorded(0.05, at=np.arange(40) * 0.1)),
        "too few swings": (at, recorded(0.9)),
        "too few swings ": (at[:12], trace[:12]),
        "not a decay": (at[::-1], trace),
        "not a decay ": (at, np.where(at > 1, np.nan, trace)),
        "not a decay  ": (at, np.random.default_rng(2).normal(0, 0.02, at.size).cumsum()),
        "not a decay   ": (at[:-1], trace),
        "too few swings  ": (at, 0.002 * np.exp(1.2 * at) * np.sin(9 * at)),
    }


@pytest.mark.parametrize("reason", list(_broken(AT, recorded())))
def test_what_cannot_be_read_is_refused_with_its_reason(reason):
    result = from_trace(*_broken(AT, recorded(0.2))[reason])
    assert isinstance(result, Refused) and result.reason == reason.strip()
    assert result.words.endswith(".")


def test_a_bounce_that_reaches_a_known_stop_is_refused():
    trace = recorded(0.2)
    topped = from_trace(AT, trace, ends=(-0.1, float(trace.max())))
    assert isinstance(topped, Refused) and topped.reason == "clipped"
    assert isinstance(from_trace(AT, trace, ends=(-0.1, 0.1)), Decay)


def test_a_curve_with_a_second_motion_on_it_is_no_bounce():
    trace = recorded(0.1) + 0.02 * np.sin(2 * np.pi * 5.3 * AT)
    result = from_trace(AT, trace)
    assert isinstance(result, Refused) and result.reason == "not a decay" and "does not look like" in result.words


def test_a_bounce_that_rests_off_the_middle_is_not_cut_off():
    """Friction holds it where it came to rest: a flat end, but no stop."""
    result = from_trace(AT, recorded(0.02, 0.011, noise=0.0002))
    assert isinstance(result, Decay) and result.friction.low < 0.011 < result.friction.high


def test_swings_that_grow_are_no_bounce():
    at = np.linspace(0, 5, 1500)
    pushed_on = -0.04 * np.exp(0.003 * at) * np.cos(2 * np.pi * 1.9 * at)
    result = from_trace(at, pushed_on + np.random.default_rng(4).normal(0, 0.001, at.size))
    assert isinstance(result, Refused) and "grow" in result.words
