"""A bounce typed off a film or exported from a logger becomes times and positions; bad lines are named."""
from __future__ import annotations

import numpy as np
import pytest

from analysis.columns import Column
from analysis.csv_rows import LogFaults
from analysis.decay import Decay
from analysis.decay_trace import from_trace
from analysis.trace import MOST_POINTS, read_trace
from tests.analysis.bounces import simulate

COLUMNS = {"time": Column("t", "s", "ms"), "position": Column("tube", "mm")}
FRAMES = {"frame": Column("frame", ""), "position": Column("tube", "mm", "cm")}


def test_milliseconds_and_millimetres_become_si():
    trace = read_trace("t,tube\n0,100\n12.5,98.4\n", COLUMNS)
    np.testing.assert_allclose(trace.times, [0, 0.0125])
    np.testing.assert_allclose(trace.positions, [0.1, 0.0984])
    assert trace.lines == (2, 3)


def test_a_decimal_comma_between_semicolons():
    trace = read_trace("t;tube\n0;100,5\n12,5;98,4\n", COLUMNS)
    np.testing.assert_allclose(trace.positions, [0.1005, 0.0984])


def test_frames_count_at_the_camera_s_rate():
    trace = read_trace("frame;tube\n120;10,2\n360;9,9\n", FRAMES, frames_per_s=240)
    np.testing.assert_allclose(trace.times, [0.5, 1.5])
    np.testing.assert_allclose(trace.positions, [0.102, 0.099])


@pytest.mark.parametrize("rate", [None, 0, -30])
def test_frames_without_a_rate_are_no_times(rate):
    with pytest.raises(LogFaults) as refused:
        read_trace("frame;tube\n120;10,2\n", FRAMES, frames_per_s=rate)
    assert "240" in refused.value.faults[0].mend


def test_every_bad_line_is_named():
    text = "t,tube\n0,100\n1,x\n2,99\n3,\n4,nan\n"
    with pytest.raises(LogFaults) as refused:
        read_trace(text, COLUMNS)
    assert [fault.path for fault in refused.value.faults] == ["line 3", "line 5", "line 6"]


def test_a_time_that_stands_still_or_goes_back_is_named():
    with pytest.raises(LogFaults) as refused:
        read_trace("t,tube\n0,100\n1,99\n1,98\n0,97\n5,96\n", COLUMNS)
    assert [fault.path for fault in refused.value.faults] == ["line 4", "line 5"]


def test_a_whole_ride_is_not_one_bounce():
    rows = "\n".join(f"{i},100" for i in range(MOST_POINTS + 1))
    with pytest.raises(LogFaults, match="one bounce"):
        read_trace(f"t,tube\n{rows}\n", COLUMNS)


def test_the_table_leads_to_the_damping_it_was_made_with():
    at = np.arange(0, 2.5, 0.0125)
    tube = 100 + 1e3 * simulate(at, zeta=0.2, friction=0.0005, hertz=1.8, push=0.04)
    rows = "\n".join(f"{1e3 * t:.1f};{y:.1f}".replace(".", ",") for t, y in zip(at, tube, strict=True))
    trace = read_trace(f"t;tube\n{rows}\n", COLUMNS)
    result = from_trace(trace.times, trace.positions)
    assert isinstance(result, Decay)
    assert result.zeta.value == pytest.approx(0.2, abs=0.01)
    assert result.natural_hz.value == pytest.approx(1.8, rel=0.01)
    assert set(result.evidence) == {"viscous", "friction", "both"}
