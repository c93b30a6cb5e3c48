"""Visits to the deepest part of the stroke, and how each of them ended.

A dead stop takes the last of the speed within milliseconds.  Squeezed air takes it over centimetres, but more and more
of it.  A spring takes it evenly.  What tells them apart is the greatest deceleration against the median one from the
greatest speed on: √2 for a spring (a quarter of a sine, arithmetic), less with damping, more where the force bends up,
far more at a dead stop; and how long that peak lasts.
"""
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.columns import Floats
from analysis.travel_signal import Signal
from analysis.travel_speed import LEAST_WINDOW, SHORT_WINDOW_S, Stretch, stretches, too_slow

WALL_RATIO = 1.9
"""Greatest over median deceleration from which it is a wall; a spring has √2 at most.  Common practice, no source."""
HARD_S = 0.018
"""A peak of deceleration no longer than this (s, at half its height) is a dead stop: common practice, no source.

Half of it is what window and averaging make of a stop without any length.
"""
AVERAGED_S = 0.010
"""Decelerations are averaged over this (s), or the last digit of a 12-bit converter would look like walls."""
COARSEST = 0.0126
"""Longest window (s) that still tells a dead stop from squeezed air: 400 readings a second."""
LEAST_SPEED = 0.15
"""Below this greatest speed (m/s) a compression says nothing about how it ended: common practice, no source."""

HARD, WALL, SMOOTH = "hard stop", "gas wall", "smooth"
UNCLEAR, SLOW, UNSEEN = "sudden, recorded too coarsely to say more", "too slow to tell", "not seen from its start"


@dataclass(frozen=True)
class Visit:
    """One visit to the deepest band: when (s), how deep (m), the speed on the way in (m/s), and how it ended."""

    time: float
    stroke: float
    speed: float | None
    shape: str


def visits(signal: Signal, band: float) -> tuple[Visit, ...]:
    """Return the visits to the deepest ``band`` (m) of what was reached; none where readings come too seldom.

    A visit ends when half a band has been given back beyond the edge, so that a tremble at the edge is one visit.
    """
    if too_slow(signal):
        return ()
    parts = list(stretches(signal, SHORT_WINDOW_S))
    if not parts:
        return ()
    edge = max(float(part.travel.max()) for part in parts) - band
    fine = LEAST_WINDOW * signal.step <= COARSEST
    return tuple(_visit(part, first, last, signal.step, fine)
                 for part in parts for first, last in _inside(part.travel, edge, edge - band / 2))


def _inside(travel: Floats, enter: float, leave: float) -> list[tuple[int, int]]:
    """Return first and last place of each stay: it begins at ``enter`` and lasts while above ``leave``."""
    above = np.flatnonzero(travel > leave)
    stays = np.split(above, np.flatnonzero(np.diff(above) > 1) + 1)
    found = []
    for stay in stays:
        deep = stay[travel[stay] >= enter]
        if deep.size:
            found.append((int(deep[0]), int(stay[-1])))
    return found


def _visit(part: Stretch, first: int, last: int, step: float, fine: bool) -> Visit:
    peak = first + int(np.argmax(part.travel[first:last + 1]))
    time, stroke = float(part.time[peak]), float(part.travel[peak])
    if first == 0:
        return Visit(time, stroke, None, UNSEEN)
    # A plain difference: at a dead stop the filter smears the speed away at the edge itself.
    before = max(first - 2, 0)
    speed = float(part.travel[first] - part.travel[before]) / ((first - before) * step)
    return Visit(time, stroke, max(speed, 0.0), _shape(part, peak, step, fine))


def _shape(part: Stretch, peak: int, step: float, fine: bool) -> str:
    """Return how the compression that ends at ``peak`` ended."""
    # The filter smears a stop over its own window, so the speed may be above zero for that long behind the peak.
    rising = np.flatnonzero(part.speed[:peak + 1] <= 0)
    rising = rising[rising < peak - LEAST_WINDOW]
    start = int(rising[-1]) + 1 if rising.size else 0
    fastest = start + int(np.argmax(part.speed[start:peak + 1]))
    if part.speed[fastest] < LEAST_SPEED:
        return SLOW
    slowing = _slowing(part.speed, step)[fastest:peak + LEAST_WINDOW]
    if slowing.max() < WALL_RATIO * np.median(slowing):
        return SMOOTH
    if not fine:
        return UNCLEAR
    return HARD if _width(slowing) * step <= HARD_S else WALL


def _slowing(speed: Floats, step: float) -> Floats:
    """Return the deceleration, m/s², averaged over ``AVERAGED_S`` around each reading."""
    reach = max(round(AVERAGED_S / 2 / step), 1)
    padded = np.pad(speed, reach, mode="edge")
    return (padded[:-2 * reach] - padded[2 * reach:]) / (2 * reach * step)


def _width(slowing: Floats) -> int:
    """Return for how many readings around its peak the deceleration is above half of it."""
    top = int(np.argmax(slowing))
    low = np.flatnonzero(slowing < slowing[top] / 2)
    before, behind = low[low < top], low[low > top]
    return int((behind[0] if behind.size else len(slowing)) - (before[-1] if before.size else -1) - 1)
