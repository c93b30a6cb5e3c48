"""How fast the suspension moves: a local cubic fitted to evenly spaced readings, and the time spent at each speed."""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.signal import savgol_filter

from analysis.columns import Floats
from analysis.travel_signal import Signal

SLOWEST_RATE = 100.0
"""Readings a second below which no speeds are given.

Five readings are the least for a cubic; at 100 a second it keeps 98 % of a wheel hop of 15 Hz (arithmetic), and at
half of that rate 72 %.  That wheels hop at 10 to 15 Hz is common practice, no source.
"""
WINDOW_S = 0.020
SHORT_WINDOW_S = 0.011
LEAST_WINDOW = 5
CUBIC = 3
EDGES = (0.0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.6, 0.8, 1.0, 1.5, 2.0, 3.0)
"""Lower ends of the speed classes, m/s; the last is open."""


@dataclass(frozen=True)
class Stretch:
    """An unbroken stretch on an even grid: time (s), stroke (m), speed (m/s, positive while it is compressed)."""

    time: Floats
    travel: Floats
    speed: Floats


@dataclass(frozen=True)
class Speeds:
    """Share of the measured time in each class of ``EDGES``, the fastest of both ways (m/s), and the window (s)."""

    compression: Floats
    rebound: Floats
    fastest_compression: float
    fastest_rebound: float
    window: float


def too_slow(signal: Signal) -> bool:
    """Tell whether the readings come too seldom for speeds; a hundredth is left to a logger's own clock."""
    return 1 / signal.step < 0.99 * SLOWEST_RATE


def window_readings(step: float, seconds: float) -> int:
    """Return the odd number of readings nearest to ``seconds``, at least ``LEAST_WINDOW``."""
    return max(2 * round((seconds / step - 1) / 2) + 1, LEAST_WINDOW)


def stretches(signal: Signal, seconds: float = WINDOW_S) -> Iterator[Stretch]:
    """Yield every stretch of the signal with its speed; none is bridged, and one shorter than the window is left out.

    Readings that jitter are first put on an even grid along straight lines between them.
    """
    width = window_readings(signal.step, seconds)
    for run in signal.runs:
        time, travel = signal.time[run], signal.travel[run]
        even = time[0] + signal.step * np.arange(int((time[-1] - time[0]) / signal.step + 1e-6) + 1)
        if even.size >= width:
            resampled = np.interp(even, time, travel)
            yield Stretch(even, resampled, savgol_filter(resampled, width, CUBIC, deriv=1, delta=signal.step))


def speeds(signal: Signal) -> Speeds | None:
    """Return the time at each speed; None where readings come too seldom or no stretch is long enough."""
    found = [] if too_slow(signal) else [stretch.speed for stretch in stretches(signal)]
    if not found:
        return None
    speed = np.concatenate(found)
    edges = np.array([*EDGES, np.inf])
    down, up = (np.histogram(part, edges)[0] / speed.size for part in (speed[speed >= 0], -speed[speed < 0]))
    width = window_readings(signal.step, WINDOW_S) * signal.step
    return Speeds(down, up, max(float(speed.max()), 0.0), max(float(-speed.min()), 0.0), width)
