"""A recorded bounce made ready for fitting: cut to the decay, sized up, and refused where it cannot be read."""
from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from analysis.decay import Refused
from analysis.decay_fit import Array
from analysis.say import say

FEWEST = 20
"""Points in a decay: fewer do not hold seven parameters and their spread."""
POINTS_A_CYCLE = 10.0
FLAT = 1.8
"""How many times longer than it should a turning point may stay level before something has stopped it."""

PLAIN = 15.0
"""How many times the noise a turning point has to stand out for its shape to be judged."""


@dataclass(frozen=True)
class Record:
    """A decay from just before letting go to its end, with first estimates; m and s.

    ``sign`` is +1 where the first turning point lies above rest; ``height`` and ``second`` are those of the first two
    turning points; ``half`` the time between them; ``swings`` how many stand out of the noise.
    """

    times: Array
    positions: Array
    start: float
    rest: float
    sign: float
    height: float
    second: float
    half: float
    swings: int
    noise: float


def prepared(t: Array, y: Array, ends: tuple[float, float] | None) -> Record | Refused:
    """Return the record cut to its decay with first estimates, or why it cannot be used."""
    refusal = _unfit(t, y)
    if refusal is not None:
        return refusal
    noise = noise_of(t, y)
    rest = float(np.median(y[-max(len(y) // 3, 3):]))
    if float(np.ptp(y)) <= 8 * noise or float(np.ptp(y)) == 0:
        return Refused("no motion", say("It hardly moved, or less than the record's own noise. Push about a third "
                                        "of the stroke and let go at once."))
    first = _released(y, rest)
    t, y = t[first:], y[first:]
    if t.size < FEWEST:
        return Refused("too few swings", say("Only {size} points follow the deepest one; {fewest} are needed. Film "
                                             "on until it rests.", size=t.size, fewest=FEWEST))
    return _sized(t, y, rest, noise, ends)


def _unfit(t: Array, y: Array) -> Refused | None:
    if t.ndim != 1 or t.shape != y.shape:
        return Refused("not a decay", say("Times and positions have to be two lists of the same length."))
    if not (np.all(np.isfinite(t)) and np.all(np.isfinite(y))):
        return Refused("not a decay", say("A time or a position has no number. Leave such rows out."))
    if t.size < FEWEST:
        return Refused("too few swings", say("{size} points are too few; {fewest} are needed, and fifty or more are "
                                             "better.", size=t.size, fewest=FEWEST))
    if np.any(np.diff(t) <= 0):
        return Refused("not a decay", say("The times do not run forward. Sort the rows, and leave doubled ones out."))
    return None


def noise_of(t: Array, y: Array) -> float:
    """Return the spread in m of single readings, from how far each lies off the line between its neighbours.

    The median keeps out the few places where the motion itself bends; evenly spaced rounding counts as noise too.
    """
    part = (t[1:-1] - t[:-2]) / (t[2:] - t[:-2])
    off = y[1:-1] - (1 - part) * y[:-2] - part * y[2:]
    size = off / np.sqrt(1 + part**2 + (1 - part) ** 2)
    # Twice: once against all differences, once against third ones, for on a sparse record the bend looks like noise.
    bend = np.abs(np.diff(size)) / math.sqrt(2)
    return float(1.4826 * min(np.median(np.abs(size)), np.median(bend)))


def _released(y: Array, rest: float) -> int:
    """Return the index of the first turning point: the last moment of the hold before letting go, where it was held."""
    far = np.abs(y - rest)
    peak = int(np.argmax(far))
    # A few points of the hold stay in, for they fix the height it was let go from.
    return max(_last_near(far, peak) - 5, peak)


def _last_near(far: Array, peak: int) -> int:
    """Return the last index that is still at the height of ``peak`` before the motion leaves it for good."""
    away = np.flatnonzero(far[peak:] < 0.75 * far[peak])
    until = peak + int(away[0]) if away.size else far.size
    return peak + int(np.flatnonzero(far[peak:until] > 0.93 * far[peak])[-1])


def _sized(t: Array, y: Array, rest: float, noise: float, ends: tuple[float, float] | None) -> Record | Refused:
    """Measure the first swings of a record that starts at its first turning point."""
    sign = 1.0 if y[0] > rest else -1.0
    along = sign * (y - rest)
    runs = _runs(along, max(4 * noise, 0.02 * float(along.max())))
    if len(runs) < 2:
        return Refused("too few swings", say("It does not swing past where it rests, so there is nothing to "
                                             "compare. The damping ratio is high, or friction holds it; compare the "
                                             "time it takes to come back instead."))
    turns = [begin + int(np.argmax(np.abs(along[begin:end]))) for begin, end in runs]
    # The last one may be where it sticks, level to the end: there its first moment counts.
    last = np.abs(along[runs[-1][0]:])
    top = float(last.max())
    turns[-1] = runs[-1][0] + int(np.argmax(last > top - max(2 * noise, 0.05 * top)))
    start = _last_near(along, turns[0])
    half = (float(t[turns[-2]] - t[turns[1]]) / (len(turns) - 3) if len(turns) > 3 else
            float(t[turns[1]] - t[start]))
    points = 2 * half / float(np.median(np.diff(t)))
    if points < POINTS_A_CYCLE:
        return Refused("sampled too slowly", say("{points} points in a cycle are too few; {points_a_cycle} are "
                                                 "needed. Use the phone's slow motion or a faster logger setting.",
                                                 points=f"{points:.0f}", points_a_cycle=f"{POINTS_A_CYCLE:.0f}"))
    if any(_flat(t, along, turn, half, noise) for turn in turns[1:3]) or _at_end(y[turns], ends, noise):
        return Refused("clipped", say("The motion was cut short at an end: the fork topped out, bottomed, or left "
                                      "the picture. Push less deep and do it again."))
    return Record(t, y, float(t[start]), rest, sign, float(along[turns[0]]), float(-along[turns[1]]), half,
                  len(turns) - 1, noise)


def _runs(along: Array, out: float) -> list[tuple[int, int]]:
    """Return begin and end of each stretch on one side of rest; it counts once it goes further out than ``out``."""
    runs: list[tuple[int, int]] = []
    side, begin = 1.0, 0
    for i in np.flatnonzero(np.abs(along) > out):
        if along[i] * side < 0:
            runs.append((begin, int(i)))
            side, begin = -side, int(i)
    runs.append((begin, along.size))
    return runs


def _flat(t: Array, along: Array, turn: int, half: float, noise: float) -> bool:
    """True where a turning point stays level much longer than a swing of that height would."""
    height = float(abs(along[turn]))
    if height < PLAIN * noise:
        return False  # so low that noise alone can make it look level
    step = np.abs(np.diff(along))
    band = max(float(np.min(step[step > 0], initial=height)), 3 * noise, 1e-3 * height)
    level = np.abs(along) > height - band
    level &= along * along[turn] > 0
    begin = end = turn
    while begin > 0 and level[begin - 1]:
        begin -= 1
    while end + 1 < along.size and level[end + 1]:
        end += 1
    expected = 2 * half / np.pi * math.acos(max(1 - band / height, -1.0))
    return end - begin >= 4 and float(t[end] - t[begin]) > FLAT * expected


def _at_end(turns: Array, ends: tuple[float, float] | None, noise: float) -> bool:
    """True where a turning point reaches a known stop."""
    if ends is None:
        return False
    near = max(3 * noise, 5e-4)
    return bool(np.any(turns <= min(ends) + near) or np.any(turns >= max(ends) - near))
