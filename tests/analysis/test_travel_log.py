"""What a travel log says, on motions whose answers are known in closed form.  Values are arithmetic."""
import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.columns import Column
from analysis.csv_rows import LogFaults
from analysis.travel_agreement import Stop
from analysis.travel_log import Sensor, travel_log
from analysis.travel_part import log_part, travel_log_part
from analysis.travel_signal import calibrated, signal
from analysis.travel_speed import EDGES, speeds, stretches

RATE, SECONDS = 500.0, 20.0
MIDDLE, SWING, HERTZ = 0.060, 0.050, 1.95  # 39 swings in 10,000 readings: every one at another phase
TIME = np.arange(0, SECONDS, 1 / RATE)
SINE = MIDDLE + SWING * np.sin(2 * np.pi * HERTZ * TIME)
FASTEST = SWING * 2 * np.pi * HERTZ
SAW = np.abs((TIME * 0.5) % 0.2 - 0.1)


def csv(time, *channels, heading="time;front;rear"):
    names = ";".join(heading.split(";")[:1 + len(channels)])
    return names + "\n" + "".join(";".join(f"{v:.9g}" for v in row) + "\n" for row in zip(time, *channels, strict=True))


def part(text, **more):
    return travel_log_part(text, Column("time", "s"), {"front": Sensor("front", stroke=0.14, **more)})["front"]


def names(log):
    return {trouble.name for trouble in log.troubles}


def test_travel_used_and_ride_height_of_a_sine():
    log = travel_log(signal(TIME, SINE, 0.14))
    assert log.used == pytest.approx(MIDDLE + SWING, abs=1e-5)
    assert log.ride_height == pytest.approx(MIDDLE, abs=2e-4)
    # The sine is below sin(0.49 π) of its height for 99 % of the time.
    assert log.used_99 == pytest.approx(MIDDLE + SWING * np.sin(0.49 * np.pi), abs=5e-5)
    assert log.measured == pytest.approx(SECONDS - 1 / RATE)
    assert log.still == 0


def test_time_near_the_ends_of_a_sine():
    """Within ``d`` of an end for the share acos(1 − d/A)/π of the time."""
    log = travel_log(signal(TIME, SINE, 0.11), [Stop("wall", 0.1, 0.1, 0.1)], near=0.005)
    share = np.arccos(1 - 0.005 / SWING) / np.pi
    assert log.near_bottom / log.measured == pytest.approx(share, rel=0.02)
    assert log.near_top == 0
    assert log.near_stop / log.measured == pytest.approx(np.arccos(1 - 0.015 / SWING) / np.pi, rel=0.02)


def test_the_speed_histogram_of_a_sine_is_the_closed_form():
    """Speed V cos φ lies under v for the share 2 asin(v/V)/π of each half."""
    found = speeds(signal(TIME, SINE, None))
    cumulated = np.arcsin(np.minimum(np.array([*EDGES, np.inf]) / FASTEST, 1)) / np.pi
    assert found.compression == pytest.approx(np.diff(cumulated), abs=0.002)
    assert found.rebound == pytest.approx(np.diff(cumulated), abs=0.002)
    assert found.fastest_compression == pytest.approx(FASTEST, rel=1e-3)
    assert found.compression.sum() + found.rebound.sum() == pytest.approx(1)


def test_the_speed_of_a_triangle_is_one_number():
    found = speeds(signal(TIME, 0.02 + SAW, None))
    # 500 mm/s everywhere but at the corners: each rounds at most a window of 11 of the 100 readings between two.
    assert found.compression[5] > 0.44 and found.rebound[5] > 0.44
    assert found.fastest_compression == pytest.approx(0.5, rel=0.15)


def test_speeds_are_those_of_plain_differences_on_a_slow_motion():
    (stretch,) = stretches(signal(TIME, SINE, None))
    assert stretch.speed[5:-5] == pytest.approx(np.gradient(stretch.travel, stretch.time)[5:-5], abs=FASTEST * 2e-3)


def test_jitter_of_the_clock_leaves_the_speeds():
    rng = np.random.default_rng(4)
    time = TIME + rng.uniform(-0.4, 0.4, TIME.size) / RATE
    even, jittered = (speeds(signal(t, MIDDLE + SWING * np.sin(2 * np.pi * HERTZ * t), None)) for t in (TIME, time))
    assert jittered.compression == pytest.approx(even.compression, abs=0.01)


def test_a_gap_is_not_bridged():
    """The sensor comes back 60 mm elsewhere: bridged, that would be a speed that never was."""
    time = np.concatenate([TIME, TIME + SECONDS + 0.05])
    travel = np.concatenate([np.full(TIME.size, 0.02) + SINE / 100, np.full(TIME.size, 0.08) + SINE / 100])
    log = travel_log(signal(time, travel, 0.14))
    assert len(log.signal.runs) == 2
    assert log.speeds.fastest_compression < 0.01
    assert log.measured == pytest.approx(2 * (SECONDS - 1 / RATE))


def test_one_lost_reading_is_bridged():
    keep = np.arange(TIME.size) % 97 != 50
    assert len(signal(TIME[keep], SINE[keep], None).runs) == 1


@settings(max_examples=15)
@given(stretch=st.floats(0.5, 2.0))
def test_a_slower_clock_makes_slower_speeds_and_nothing_else(stretch):
    one, other = (travel_log(signal(t, SINE, 0.14)) for t in (TIME, TIME * stretch))
    assert other.used == one.used and other.ride_height == pytest.approx(one.ride_height, abs=1e-9)
    assert other.speeds.fastest_compression == pytest.approx(one.speeds.fastest_compression / stretch, rel=0.01)


def test_a_log_twice_over_has_the_same_shares():
    one = travel_log(signal(TIME, SINE, 0.14))
    two = travel_log(signal(np.concatenate([TIME, TIME + 60]), np.tile(SINE, 2), 0.14))
    assert two.speeds.compression == pytest.approx(one.speeds.compression, abs=1e-12)
    assert (two.used, two.ride_height) == (one.used, pytest.approx(one.ride_height, abs=1e-6))
    assert len(two.visits) == 2 * len(one.visits)


def test_millimetres_inches_volts_and_a_reversed_sensor_say_the_same():
    fine = TIME < 3
    t, x = TIME[fine], SINE[fine] * 1e3
    plain = part(csv(t, x))
    inches = part(csv(t, x / 25.4), unit="in")
    volts = part(csv(t, 0.4 + x / 140 * 4.2), calibration=(0.4, 4.6))
    reverse = part(csv(t, 900 - x / 140 * 700), calibration=(900, 200))
    shifted = part(csv(t, x + 7), zero=0.007)
    for other in (inches, volts, reverse, shifted):
        assert other == plain
    assert plain["used_mm"] == 110 and plain["used_percent"] == 78.6 and plain["troubles"] == []


def test_calibration_is_the_line_through_both_ends():
    assert calibrated(np.array([0.4, 4.6, 2.5]), 0.4, 4.6, 0.14) == pytest.approx([0, 0.14, 0.07])


def test_both_ends_of_the_bike_and_json():
    text = csv(TIME[:2000], SINE[:2000] * 1e3, SINE[:2000] * 500)
    both = travel_log_part(text, Column("time", "s"), {"front": Sensor("front"), "rear": Sensor("rear", stroke=0.06)})
    assert both["rear"]["used_mm"] == 55 and both["front"]["stroke_mm"] is None
    assert json.loads(json.dumps(both, allow_nan=False)) == both
    assert travel_log_part(text, Column("time", "s"), {"front": Sensor("front")})["rear"] is None


def test_how_near_an_end_is_near_can_be_chosen():
    text, front = csv(TIME, SINE * 1e3), {"front": Sensor("front", stroke=0.11)}
    narrow, wide = (travel_log_part(text, Column("time", "s"), front, near=near)["front"] for near in (0.005, 0.020))
    assert (narrow["near_mm"], wide["near_mm"]) == (5.0, 20.0)
    assert narrow["near"]["full stroke"]["s"] < wide["near"]["full stroke"]["s"]


@pytest.mark.parametrize("travel, stroke, name, words", [
    (SINE - 0.02, 0.14, "offset", "10.0 mm below full extension"),
    (SINE + 0.04, 0.14, "offset", "10.0 mm beyond full stroke"),
    (SINE * 2, 0.14, "scale", "span 200 mm"),
    (SINE * 0 + 0.04, 0.14, "stuck", "moved by less")])
def test_what_cannot_be_stroke_is_refused_with_a_way_out(travel, stroke, name, words):
    log = travel_log(signal(TIME, travel, stroke))
    assert names(log) == {name} and words in log.troubles[0].words and log.troubles[0].mend
    assert log.used is None and log.ride_height is None and log.visits == ()
    assert (log.speeds is not None) == (name == "offset")
    assert log_part(log)["used_mm"] is None


def test_a_log_that_stays_within_a_reading_of_full_extension_has_a_sound_zero():
    near = SINE - SINE.min() + 0.0005
    assert names(travel_log(signal(TIME, near, 0.14))) == set()


def test_a_converter_at_its_end_is_clipped_and_a_full_stroke_is_not():
    raw = np.clip(SINE / 0.14 * 1400, 0, 1023)
    assert names(travel_log(signal(TIME, raw / 1400 * 0.14, 0.14, raw))) == {"clipped"}
    assert "clipped" not in names(travel_log(signal(TIME, raw / 1400 * 0.14, 0.1023, raw)))


def test_a_flat_top_in_millimetres_is_pointed_out():
    assert names(travel_log(signal(TIME, np.minimum(SINE, 0.1), 0.14))) == {"flat"}


def test_a_reading_that_freezes_on_the_way_is_left_out_and_a_fork_at_rest_is_not():
    frozen = SINE.copy()
    frozen[1000:1500] = frozen[1000]
    log = travel_log(signal(TIME, frozen, 0.14))
    assert names(log) == {"frozen"} and log.measured == pytest.approx(SECONDS - 1, abs=0.01)
    settling = MIDDLE + SWING * np.exp(-TIME) * np.sin(2 * np.pi * HERTZ * TIME)
    rested = travel_log(signal(TIME, np.round(settling, 4), 0.14))
    assert rested.troubles == () and rested.still == pytest.approx(SECONDS - np.log(100), abs=2)


def test_a_single_reading_from_nowhere_is_left_out():
    spiked = SINE.copy()
    spiked[777] = 0.139
    log = travel_log(signal(TIME, spiked, 0.14))
    assert names(log) == {"jumps"} and log.used == pytest.approx(0.11, abs=1e-4)


def test_too_few_readings_a_second_give_strokes_but_no_speeds():
    log = travel_log(signal(TIME[::10], SINE[::10], 0.14))
    assert names(log) == {"slow"} and log.speeds is None and log.visits == ()
    assert log.used == pytest.approx(0.11, abs=1e-3)


@pytest.mark.parametrize("where, step, words", [(30, -0.5, "backwards"), (30, -1 / RATE, "still")])
def test_a_clock_that_does_not_go_on_is_refused_with_its_line(where, step, words):
    time = TIME[:100].copy()
    time[where:] += step
    with pytest.raises(LogFaults) as refused:
        part(csv(time, SINE[:100] * 1e3))
    assert refused.value.faults[0].path == f"line {where + 2}" and words in refused.value.faults[0].problem


def test_every_fault_of_the_mapping_is_named():
    bad = {"front": Sensor("front", calibration=(1, 2)), "rear": Sensor("rear", calibration=(3, 3), stroke=0.1)}
    with pytest.raises(LogFaults) as refused:
        travel_log_part(csv(TIME[:50], SINE[:50], SINE[:50]), Column("time", "s"), bad)
    assert [fault.path for fault in refused.value.faults] == ["front", "rear"]
    with pytest.raises(LogFaults, match="readings"):
        part(csv(TIME[:5], SINE[:5]))


def test_a_log_in_scraps_gives_travel_but_no_speeds():
    """Readings in groups of four at 500 a second, with pauses of a tenth of a second between them."""
    scraps = (np.arange(200)[:, None] * 0.1 + np.arange(4) / RATE).ravel()
    log = travel_log(signal(scraps, MIDDLE + SWING * np.sin(2 * np.pi * HERTZ * scraps), 0.14))
    assert log.speeds is None and log.visits == () and names(log) == {"short"}
    assert log.used == pytest.approx(MIDDLE + SWING, abs=1e-4)
    assert log.measured == pytest.approx(200 * 3 / RATE)


def test_a_channel_that_only_jumps_is_no_signal():
    rattling = signal(TIME[:100], 0.02 + 0.1 * (np.arange(100) % 2), 0.14)
    assert rattling.runs == () and rattling.lacks("stuck") and rattling.stroke == 0.14
    assert "No stretch" in rattling.troubles[0].words
    assert log_part(travel_log(rattling))["used_mm"] is None


def test_the_predicted_stop_stands_beside_what_was_measured():
    log = travel_log(signal(TIME, SINE, 0.14), [Stop("the coils touch", 0.09, 0.085, 0.095)])
    (row,) = log_part(log)["agreement"]
    assert (row["name"], row["at_mm"], row["low_mm"], row["high_mm"]) == ("the coils touch", 90.0, 85.0, 95.0)
    assert row["result"] == log.agreements[0].result and row["words"] == log.agreements[0].words
