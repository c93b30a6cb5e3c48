"""From a dead stop at a stroke back to the air in the leg."""
from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from analysis.document import parse_case
from analysis.fork import stroke_under
from analysis.inputs import read_inputs
from analysis.leg import air_push
from analysis.leg_parts import middle
from analysis.setups import found_air, loads_of
from analysis.stop import air_at_stop, pressure_ratio, stop_felt
from tests.reference_fork import AIR, ATMOSPHERE, SEAL, STROKE, case, fork


@given(st.floats(0.03, 0.139), st.floats(5e-4, 2e-3))
def test_an_endless_pressure_ratio_is_the_solid_stop(x: float, area: float) -> None:
    assert air_at_stop(area, x, 0.140, 1e15, 1.2) == pytest.approx(area * (x - 0.140), abs=1e-12 + area * x * 1e-11)


@given(st.floats(4, 1e6), st.floats(0.03, 0.139))
def test_a_stop_at_a_finite_force_blames_less_oil_than_the_solid_stop(ratio: float, x: float) -> None:
    assert air_at_stop(SEAL, x, STROKE, ratio, 1.2) > SEAL * (x - STROKE)


@settings(max_examples=40)
@given(st.floats(-20, 185), st.floats(2000, 6000))
def test_the_air_found_from_a_stop_is_the_air_that_stopped_it(over: float, load: float) -> None:
    found = fork(over)
    x = float(stroke_under(found, load, 1.2))
    assume(x < found.end - 1e-5)
    ratio = float(air_push(found.left, x, 1.2)[0]) / SEAL / ATMOSPHERE + 1
    assert air_at_stop(SEAL, x, STROKE, ratio, 1.2) == pytest.approx(AIR - over * 1e-6, abs=2e-8)


@pytest.mark.parametrize("over", [75, 100, 150])
def test_a_case_whose_fork_stops_gets_its_oil_back(over: float) -> None:
    inputs = read_inputs(parse_case(case()))
    loads = loads_of(inputs, middle)
    stop = float(stroke_under(fork(over), loads.braking, 1.2)) * 1e3
    told = parse_case(case(bench={"travel": {"used_mm": stop, "end_feel": "stops dead"}}))
    air, source = found_air(read_inputs(told), told, "left", middle)
    assert source == "stop"
    assert air is not None and (AIR - float(air)) * 1e6 == pytest.approx(over, abs=0.5)


def test_a_stop_is_taken_from_the_ride_before_the_push_and_only_where_it_was_dead() -> None:
    travel, push = {"used_mm": 100, "end_feel": "stops dead"}, {"quick_stroke_mm": 60, "end_feel": "stops dead"}
    both = stop_felt(parse_case(case(bench={"travel": travel, "push": push})))
    assert both is not None and both.on_a_ride and both.stroke.value == pytest.approx(0.100)
    pushed = stop_felt(parse_case(case(bench={"travel": {**travel, "end_feel": "stiffer"}, "push": push})))
    assert pushed is not None and not pushed.on_a_ride and pushed.stroke.value == pytest.approx(0.060)
    assert stop_felt(parse_case(case(bench={"travel": {"used_mm": 100, "end_feel": "clank"}}))) is None


def test_a_dead_stop_always_has_some_pressure_behind_it() -> None:
    told = parse_case(case(bench={"travel": {"used_mm": 138, "end_feel": "stops dead"}}))
    inputs, stop = read_inputs(told), stop_felt(told)
    assert stop is not None
    assert pressure_ratio(inputs, stop, 700.0, 100.0, SEAL, 5000.0) == 4.0
    assert np.isfinite(float(pressure_ratio(inputs, stop, 700.0, 2400.0, SEAL, None)))


# Arithmetic: with n = 1.2, V_e = A x / (1 - 7^(-1/1.2)) and V_c = V_e - A S.
def test_without_the_springs_rate_a_stop_has_a_usual_pressure_behind_it() -> None:
    told = parse_case(case({"spring": None}, bench={"travel": {"used_mm": 100, "end_feel": "stops dead"}}))
    air, source = found_air(read_inputs(told), told, "left", middle)
    assert source == "stop"
    assert air == pytest.approx(SEAL * (0.100 / (1 - 7 ** (-1 / 1.2)) - STROKE), abs=1e-9)
