"""What a travel log says: travel used, ride height, time near the ends, deep visits, speeds, predicted stops."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.case import Fault
from analysis.columns import Column, Floats, read_columns
from analysis.csv_rows import LogFaults
from analysis.say import say
from analysis.travel_agreement import Agreement, Stop, agreement, observed_stop
from analysis.travel_events import Visit, visits
from analysis.travel_signal import Signal, Trouble, calibrated, clock, signal
from analysis.travel_speed import SLOWEST_RATE, Speeds, speeds, too_slow

NEAR = 0.005
"""What counts as near an end, m: common practice, no source."""
STILL_S = 2.0
STILL = 0.001
"""A suspension that moves less than this (m) in ``STILL_S`` stands still: common practice, no source."""


@dataclass(frozen=True)
class Sensor:
    """How the person maps one end's channel.

    ``calibration``: what it reads at full extension and at full ``stroke`` (m), for volts and counts; else the numbers
    are lengths in ``unit`` and ``zero`` (m) is taken off them.
    """

    column: str
    unit: str | None = None
    zero: float = 0.0
    calibration: tuple[float, float] | None = None
    stroke: float | None = None


@dataclass(frozen=True)
class TravelLog:
    """One end of the bike in a log, SI.  What trouble with the sensor takes away is None."""

    signal: Signal
    measured: float
    still: float
    used: float | None
    used_99: float | None
    ride_height: float | None
    near_top: float | None
    near_bottom: float | None
    near_stop: float | None
    visits: tuple[Visit, ...]
    speeds: Speeds | None
    agreements: tuple[Agreement, ...]
    troubles: tuple[Trouble, ...]


def read_log(raw: str | bytes, time: Column, sensors: Mapping[str, Sensor]) -> dict[str, Signal]:
    """Return the signal of each end ("front", "rear"); raises LogFaults with everything that is wrong."""
    faults = tuple(fault for end, sensor in sensors.items() for fault in _faults(end, sensor))
    if faults:
        raise LogFaults(faults)
    table = read_columns(raw, {"time": time} | {end: _column(sensor) for end, sensor in sensors.items()})
    passed = clock(table.columns["time"], table.lines)
    return {end: _signal(passed, table.columns[end], sensor) for end, sensor in sensors.items()}


def _faults(end: str, sensor: Sensor) -> list[Fault]:
    if sensor.calibration is None:
        return []
    found = []
    if sensor.stroke is None:
        found.append(Fault(end, say("readings at both ends need the stroke between them"),
                           say("Give the full stroke too.")))
    if sensor.calibration[0] == sensor.calibration[1]:
        found.append(Fault(end, say("the readings at both ends are the same"), say("Give what it reads at each end.")))
    return found


def _column(sensor: Sensor) -> Column:
    return Column(sensor.column, "mm" if sensor.calibration is None else "", sensor.unit)


def _signal(time: Floats, values: Floats, sensor: Sensor) -> Signal:
    if sensor.calibration is None or sensor.stroke is None:
        return signal(time, values - sensor.zero, sensor.stroke)
    return signal(time, calibrated(values, *sensor.calibration, sensor.stroke), sensor.stroke, values)


def travel_log(one: Signal, stops: Sequence[Stop] = (), near: float = NEAR) -> TravelLog:
    """Return what one end's signal says; ``stops`` are its predicted ends, ``near`` (m) what counts as near an end.

    An offset takes away every stroke but no speed; a wrong scale or a dead sensor takes away both.
    """
    nothing = one.lacks("stuck", "scale")
    weights = one.weights()
    measured = float(weights.sum())
    strokes = not nothing and not one.lacks("offset")
    seen = visits(one, near) if strokes else ()
    fast = None if nothing else speeds(one)
    used = float(_kept(one).max()) if strokes else None
    wall = observed_stop(seen)
    return TravelLog(
        one, measured, 0.0 if nothing else _still(one),
        used, _quantile(one.travel, weights, 0.99) if strokes else None,
        _quantile(one.travel, weights, 0.5) if strokes else None,
        float(weights[one.travel <= near].sum()) if strokes else None,
        _beyond(one, weights, one.stroke, near) if strokes else None,
        _beyond(one, weights, min((s.at for s in stops if s.firm), default=None), near) if strokes else None,
        seen, fast, () if used is None else tuple(agreement(stop, used, wall) for stop in stops),
        (*one.troubles, *_speed_troubles(one, fast, nothing)))


def _speed_troubles(one: Signal, fast: Speeds | None, nothing: bool) -> list[Trouble]:
    if nothing or fast is not None:
        return []
    if too_slow(one):
        return [Trouble("slow", say("{step} readings a second are too few for speeds and for how it stops.",
                                    step=f"{1 / one.step:.0f}"),
                        say("Record at {slowest_rate} a second or more; 400 tell a dead stop from squeezed air.",
                            slowest_rate=f"{SLOWEST_RATE:.0f}"))]
    return [Trouble("short", say("No stretch without a gap is long enough for speeds."), say("Record without pauses."))]


def _kept(one: Signal) -> Floats:
    return np.concatenate([one.travel[run] for run in one.runs])


def _quantile(values: Floats, weights: Floats, share: float) -> float:
    """Return the value below which ``share`` of the time was spent."""
    order = np.argsort(values)
    passed = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(passed, share * passed[-1])])


def _beyond(one: Signal, weights: Floats, end: float | None, near: float) -> float | None:
    return None if end is None else float(weights[one.travel >= end - near].sum())


def _still(one: Signal) -> float:
    """Return the time (s) of whole blocks of ``STILL_S`` in which it hardly moved."""
    block, total = max(round(STILL_S / one.step), 2), 0.0
    for run in one.runs:
        count = (run.stop - run.start) // block
        blocks = one.travel[run.start:run.start + count * block].reshape(count, block)
        total += float((np.ptp(blocks, axis=1) < STILL).sum()) * STILL_S if count else 0.0
    return total
