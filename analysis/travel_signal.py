"""A logger's channel as millimetres of stroke that can be trusted, in stretches without gaps.

What the sensor cannot have measured is cut out and said: jumps, readings that froze in the middle of a movement.
"""
from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.columns import Floats
from analysis.csv_rows import THE_FILE, refuse
from analysis.say import say
from analysis.units import format_number

GAP_STEPS = 2.5
"""A pause longer than this many usual steps is a gap: one lost reading is bridged, more are not."""
LEAST_READINGS = 20
LEAST_MOVEMENT = 0.002
"""A sensor that shows less movement than this (m) in a whole log measured nothing: common practice, no source."""
FROZEN_S = 0.5
FROZEN_SPEED = 0.1
"""No fork that moves faster than this (m/s) holds one reading to the last digit for ``FROZEN_S``, except at an end."""
FLAT_S = 0.015
"""A top that stays flat for this long (s), and more than once, is pointed out: common practice, no source."""
FASTEST = 15.0
"""No suspension moves faster, m/s; a single reading that says so both ways is a fault of the sensor."""
OUTSIDE = 0.003
"""How far (m) readings may lie beyond an end before the zero is doubted: common practice, no source."""
CONVERTER_ENDS = (0.0, 255.0, 1023.0, 4095.0, 16383.0, 65535.0)
"""What converters of 8 to 16 bits show where they can go no further."""


@dataclass(frozen=True)
class Trouble:
    """What is wrong with a channel, in words, and what to do.  ``name`` says which numbers it takes away."""

    name: str
    words: str
    mend: str


@dataclass(frozen=True)
class Signal:
    """Stroke used (m, 0 at full extension) at rising times (s from the first reading).

    ``step`` is the usual time between readings, ``runs`` the stretches without a gap as slices, ``stroke`` the full
    stroke (m) where it is known.
    """

    time: Floats
    travel: Floats
    step: float
    runs: tuple[slice, ...]
    stroke: float | None
    troubles: tuple[Trouble, ...]

    def weights(self) -> Floats:
        """Return the time (s) that each reading stands for: half the way to its neighbours in the same stretch."""
        weights = np.zeros_like(self.time)
        for run in self.runs:
            half = np.diff(self.time[run]) / 2
            weights[run.start:run.stop - 1] += half
            weights[run.start + 1:run.stop] += half
        return weights

    def lacks(self, *names: str) -> bool:
        """Tell whether one of these troubles was found."""
        return any(trouble.name in names for trouble in self.troubles)


def clock(time: Floats, lines: tuple[int, ...]) -> Floats:
    """Return the time from the first reading; raises LogFaults where it does not rise from line to line."""
    if len(time) < LEAST_READINGS:
        raise refuse(THE_FILE, say("it has {count} readings", count=len(time)),
                     say("At least {least} are needed.", least=LEAST_READINGS))
    bad = np.flatnonzero(np.diff(time) <= 0)
    if bad.size:
        line, back = lines[int(bad[0]) + 1], time[bad[0] + 1] < time[bad[0]]
        raise refuse(say("line {line}", line=line),
                     say("the clock runs backwards") if back else say("the clock stands still"),
                     say("Keep one recording in a file.") if back else say("Export the time with more decimals."))
    return np.asarray(time - time[0], dtype=np.float64)


def calibrated(raw: Floats, at_zero: float, at_full: float, stroke: float) -> Floats:
    """Return the stroke (m): the straight line through the readings at full extension and at full ``stroke``.

    The sensor may run either way; ``at_zero`` and ``at_full`` must differ.
    """
    return np.asarray((raw - at_zero) / (at_full - at_zero) * stroke, dtype=np.float64)


def signal(time: Floats, travel: Floats, stroke: float | None, raw: Floats | None = None) -> Signal:
    """Return the trusted signal of a channel; ``raw`` are its uncalibrated readings, where there were any."""
    step = float(np.median(np.diff(time)))
    if np.ptp(travel) < LEAST_MOVEMENT:
        stuck = Trouble("stuck", say("The sensor moved by less than {least_movement} mm in the whole log.",
                                     least_movement=f"{LEAST_MOVEMENT * 1000.0:g}"),
                        say("Check its plug and linkage, and that the column is the right one."))
        return Signal(time, travel, step, (), stroke, (stuck,))
    jumps, frozen = _jumps(time, travel), _frozen(time, travel)
    kept = ~(jumps | frozen)
    runs = _runs(time, kept, step)
    if not runs:
        lost = Trouble("stuck", say("No stretch of the log can be used."), say("Check the sensor's plug and linkage."))
        return Signal(time, travel, step, (), stroke, (lost,))
    troubles = [*_said("jumps", say("jumps to where no fork can be"), jumps, time),
                *_said("frozen", "freezes in the middle of a movement", frozen, time)]
    troubles += _at_the_ends(travel[kept], stroke)
    clipped = [] if raw is None else _clipped(raw[kept], travel[kept], stroke)
    troubles += clipped or _flat_top(time[kept], travel[kept])
    return Signal(time, travel, step, runs, stroke, tuple(troubles))


def _runs(time: Floats, kept: NDArray[np.bool_], step: float) -> tuple[slice, ...]:
    """Return the stretches of two and more kept readings without a gap."""
    places = np.flatnonzero(kept)
    breaks = np.flatnonzero(np.diff(time[places]) > GAP_STEPS * step) + 1
    parts = np.split(places, breaks)
    # A reading that was cut out inside a stretch splits it too, or its weight would go to what was not measured.
    whole = [piece for part in parts for piece in np.split(part, np.flatnonzero(np.diff(part) > 1) + 1)]
    return tuple(slice(int(piece[0]), int(piece[-1]) + 1) for piece in whole if piece.size > 1)


def _jumps(time: Floats, travel: Floats) -> NDArray[np.bool_]:
    speed = np.diff(travel) / np.diff(time)
    bad = np.zeros(len(time), dtype=np.bool_)
    bad[1:-1] = (np.abs(speed[:-1]) > FASTEST) & (np.abs(speed[1:]) > FASTEST) & (speed[:-1] * speed[1:] < 0)
    return bad


def _frozen(time: Floats, travel: Floats) -> NDArray[np.bool_]:
    """Mark readings that stay the same to the last digit though the fork was on its way, away from both ends."""
    starts, stops = _plateaus(travel)
    low, high = travel.min() + 2 * OUTSIDE, travel.max() - 2 * OUTSIDE
    value = travel[starts]
    long = (time[stops - 1] - time[starts] >= FROZEN_S) & (starts >= 3) & (value > low) & (value < high)
    bad = np.zeros(len(travel), dtype=np.bool_)
    for start, stop in zip(starts[long], stops[long], strict=True):
        speed = (travel[start] - travel[start - 3]) / (time[start] - time[start - 3])
        bad[start:stop] |= abs(speed) > FROZEN_SPEED
    return bad


def _plateaus(travel: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return first places, and places behind the last, of readings that are equal to the last digit."""
    edges = np.flatnonzero(np.diff(travel) != 0) + 1
    return np.concatenate([[0], edges]), np.concatenate([edges, [len(travel)]])


def _flat_top(time: Floats, travel: Floats) -> list[Trouble]:
    """Say where the deepest reading comes again and again to the last digit: a dead stop, or the sensor's own end."""
    starts, stops = _plateaus(travel)
    held = (travel[starts] == travel.max()) & (stops - starts >= 3) & (time[stops - 1] - time[starts] >= FLAT_S)
    if held.sum() < 2:
        return []
    return [Trouble("flat", say("The deepest reading, {max} mm, comes {sum} times to the last digit: the suspension "
                                "stops dead there, or the sensor's range ends there.",
                                max=f"{travel.max() * 1000.0:.1f}", sum=int(held.sum())),
                    say("Compare with a cable tie on the tube."))]


def _said(name: str, words: str, bad: NDArray[np.bool_], time: Floats) -> list[Trouble]:
    if not bad.any():
        return []
    count, first = int(bad.sum()), format_number(float(time[np.argmax(bad)]), 2)
    template = ("The sensor {words}, first at {first} s; 1 reading is left out." if count == 1 else
                "The sensor {words}, first at {first} s; {count} readings are left out.")
    return [Trouble(name, say(template, words=words, first=first, count=count),
                    say("Check its plug and cable."))]


def _at_the_ends(travel: Floats, stroke: float | None) -> list[Trouble]:
    """Say where readings lie beyond an end: a zero that is off, or a wrong scale where they span too much."""
    low, high = float(travel.min()), float(travel.max())
    if stroke is not None and high - low > stroke + OUTSIDE:
        return [Trouble("scale", say("The readings span {high} mm, the full stroke is {stroke} mm.",
                                     high=f"{(high - low) * 1000.0:.0f}", stroke=f"{stroke * 1000.0:.0f}"),
                        say("Check the unit, the readings given for both ends, and the stroke."))]
    beyond = low if low < -OUTSIDE else high - stroke if stroke is not None and high > stroke + OUTSIDE else 0.0
    if not beyond:
        return []
    template = ("Readings lie up to {beyond} mm below full extension: the zero is off by at least that." if beyond < 0
                else "Readings lie up to {beyond} mm beyond full stroke: the zero is off by at least that.")
    return [Trouble("offset", say(template, beyond=f"{abs(beyond) * 1000.0:.1f}"),
                    say("Re-zero: take the reading with the wheel off the ground and give it as the zero."))]


def _clipped(raw: Floats, travel: Floats, stroke: float | None) -> list[Trouble]:
    """Say where a converter's last number was reached away from an end of the stroke."""
    for extreme in (float(raw.min()), float(raw.max())):
        held = raw == extreme
        at = float(travel[held][0])
        at_an_end = abs(at) <= OUTSIDE or (stroke is not None and abs(at - stroke) <= OUTSIDE)
        if extreme in CONVERTER_ENDS and held.sum() > 2 and not at_an_end:
            return [Trouble("clipped", say("The sensor's range ends at {at} mm, where {sum} readings show "
                                           "{extreme}: it may have gone further.", at=f"{at * 1000.0:.0f}",
                                           sum=int(held.sum()), extreme=f"{extreme:g}"),
                            say("Mount the sensor so that its range covers the whole stroke."))]
    return []
