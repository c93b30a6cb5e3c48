"""A filmed bounce handed in as seconds and millimetres is read, shown, and counts in place of counted swings."""
from __future__ import annotations

import json

import numpy as np
import pytest

from analysis import analyse, parse_case
from analysis.document import echo, faults_of
from analysis.inputs import read_inputs
from analysis.observations_bounce import BOUNCE_READINGS
from analysis.posterior import assess
from analysis.trace_answer import bounce_in
from tests.analysis.bounces import simulate

BIKE = {"schema": 1, "bike": {"mass_kg": 200}, "rider": {"mass_kg": 80}, "fork": {"travel_mm": 120}}


def trace(zeta, friction=0.0, hertz=1.8, push=0.04, seconds=2.6):
    at = np.arange(0, seconds, 1 / 60)
    return [[round(float(t), 4), round(300 + 1e3 * float(y), 2)] for t, y in
            zip(at, simulate(at, zeta=zeta, friction=friction, hertz=hertz, push=push), strict=True)]


def case(**bench):
    return parse_case({**BIKE, "bench": bench})


def odds(found, cause):
    posterior = assess(found, read_inputs(found), np.random.default_rng(1), 500)
    return dict(zip((c.name for c in posterior.world.causes), posterior.probabilities(), strict=True))[cause]


def test_a_trace_as_a_list_and_as_text_are_one():
    pairs = trace(0.2)
    lines = "\n".join(f"{t:.4f}; {y:.2f}".replace(".", ",") for t, y in pairs)
    as_typed = (pairs, json.dumps(pairs), lines)
    assert len({case(rebound={"trace": given}).value("bench.rebound.trace") for given in as_typed}) == 1
    # e^(-0.2π/0.98) of 40 mm is 21 mm
    assert echo("bench.rebound.trace", pairs) == "156 readings over 2.58 s, from 260 to 321 mm"


@pytest.mark.parametrize("given, says", [
    ([[0, 1]] * 25, "does not go on"), ([[0, 1], [1]], "no pair"), ([[t, 5] for t in range(5)], "5 readings"),
    ([[t, 5] for t in range(100)], "not a frame's number"),
    ([[t, 5] for t in (*range(30), 60.1)], "these readings span 60 s"),
    ("0;1\nx;2", "reading 2"), ("[[0, 1", "breaks off"), (7, "no list")])
def test_a_trace_that_cannot_be_used_says_why(given, says):
    (fault,) = faults_of({"bench": {"rebound": {"trace": given}}})
    assert says in f"{fault.problem} {fault.mend}"


def test_the_findings_hold_ratio_and_frequency_of_both_ends():
    found = analyse(case(rebound={"trace": trace(0.22), "swings": "none"},
                         rear_bounce={"trace": trace(0.5, hertz=2.2), "return_s": 0.3}), np.random.default_rng(1))
    damping = found.as_document()["damping"]
    for part, ratio, hertz in ((damping["rebound"], 0.22, 1.8), (damping["rear"], 0.5, 2.2)):
        assert part["from"] == "recording"
        assert part["damping_ratio"]["low"] <= ratio + 0.01 and part["damping_ratio"]["high"] >= ratio - 0.01
        assert part["natural_hz"]["value"] == pytest.approx(hertz, rel=0.02)


def test_friction_that_stopped_the_bounce_is_refused_sized_and_counts():
    rubbing = case(rebound={"trace": trace(0.02, friction=0.008, push=0.05)})
    part = analyse(rubbing, np.random.default_rng(1)).as_document()["damping"]["rebound"]
    assert part["damping_ratio"] is None and part["refused"][0]["reason"] == "friction dominates"
    assert part["friction_mm"]["value"] == pytest.approx(8, abs=0.5)
    assert odds(rubbing, "friction or misalignment") > 2 * odds(case(), "friction or misalignment")


def test_a_recording_counts_in_place_of_swings_and_watch():
    with_all = case(rebound={"trace": trace(0.5), "swings": "two or more", "return_s": 3})
    bare = case(rebound={"trace": trace(0.5)})
    weighed = [assess(c, read_inputs(c), np.random.default_rng(1), 300).probabilities() for c in (with_all, bare)]
    np.testing.assert_allclose(*weighed)


def test_a_rear_that_swings_on_and_on_speaks_for_a_worn_shock():
    loose, sound = (case(rear_bounce={"trace": trace(z)}) for z in (0.1, 0.45))
    assert odds(loose, "worn shock") > 5 * odds(sound, "worn shock")


def test_what_is_far_out_or_nothing_at_all():
    (fault,) = faults_of({"bench": {"rebound": {"trace": [[t / 50, 6000] for t in range(30)]}}})
    assert "further out than 5000 mm" in fault.problem
    assert echo("bench.rebound.trace", "half a bounce") == ""
    for nothing in ("", []):
        assert faults_of({"bench": {"rebound": {"trace": nothing}}}) == ()
        assert case(rebound={"trace": nothing}).answer("bench.rebound.trace") is None


def test_a_recorded_rear_counts_in_place_of_its_counted_swings():
    with_both, bare = (case(rear_bounce={"trace": trace(0.3), **more}) for more in ({"swings": "two or more"}, {}))
    weighed = [assess(c, read_inputs(c), np.random.default_rng(1), 300).probabilities() for c in (with_both, bare)]
    np.testing.assert_allclose(*weighed)


def test_a_bounce_may_last_a_minute_from_its_first_reading():
    assert faults_of({"bench": {"rebound": {"trace": [[t, t % 7] for t in (*range(100, 140), 160)]}}}) == ()


def test_a_recording_is_as_sure_in_the_odds_as_its_own_interval():
    found = case(rebound={"trace": trace(0.2)})
    reading = next(r for r in BOUNCE_READINGS if r.path == "bench.rebound.trace")
    zeta = bounce_in(found.value("bench.rebound.trace")).zeta
    # A normal curve has 95 % within 1.96 standard deviations.
    assert reading.find(found).value == zeta.value
    assert reading.find(found).sd == pytest.approx((zeta.high - zeta.low) / (2 * 1.96))
