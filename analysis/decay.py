"""Free decay of a bounce: what the shrinking of its swings says about damping.

One mass on a spring, a damper that resists with speed and a friction that does not:
``m x″ + c x′ + F sign(x′) + k x = 0``.  Height is counted from where the spring alone would hold it.  A swing here is
half a cycle, from one turning point to the next.  Plain floats or numpy arrays that broadcast; SI units, frequencies
in Hz.

What the model leaves out: a fork's damper resists more on the way out than on the way in, its spring hardens, and the
tyre swings along.  A ratio from several swings is therefore a mean of both ways; one from the first swing back up is
the rebound side's own.
"""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from analysis.shapes import Real

Model = Literal["viscous", "friction", "both"]
Reason = Literal["too few swings", "no motion", "clipped", "sampled too slowly", "not a decay", "friction dominates",
                 "too small to read"]


@dataclass(frozen=True)
class Interval:
    """A value with the ends of its 95 % interval."""

    value: float
    low: float
    high: float

    def scaled(self, factor: float) -> Interval:
        """Return the same interval in another unit; ``factor`` is positive."""
        return Interval(self.value * factor, self.low * factor, self.high * factor)


@dataclass(frozen=True)
class Decay:
    """What a bounce says.

    ``zeta`` damping ratio; ``friction`` in m is ``F/k``, the half width of the band in which the bike can come to
    rest, None where the record is too short to tell it from damping; ``damped_hz`` and ``natural_hz`` None where no
    times were taken.  ``model`` is the plainest one that explains the record; the intervals allow for both kinds of
    loss wherever ``friction`` is given.  ``evidence`` holds the Bayesian information criterion (BIC) of each model.
    """

    zeta: Interval
    friction: Interval | None = None
    damped_hz: Interval | None = None
    natural_hz: Interval | None = None
    model: Model = "viscous"
    swings: int = 0
    evidence: Mapping[Model, float] = field(default_factory=dict)
    remark: str = ""

    @property
    def delta(self) -> Interval:
        """Logarithmic decrement over a full cycle, ``ln(x₁/x₃)``."""
        return Interval(*(float(log_decrement(z)) for z in (self.zeta.value, self.zeta.low, self.zeta.high)))


@dataclass(frozen=True)
class Refused:
    """Why no damping ratio can be given, what to do about it, and the friction ``F/k`` in m where it was seen."""

    reason: Reason
    words: str
    friction: Interval | None = None


def damping_ratio(delta: Real) -> Real:
    """Return ``ζ = δ/√(4π² + δ²)`` for a logarithmic decrement over a full cycle.

    Source: any text on vibration, such as Thomson, Theory of Vibration, chapter 2.
    """
    ratio: Real = delta / np.sqrt(4 * np.pi**2 + np.square(delta))
    return ratio


def log_decrement(zeta: Real) -> Real:
    """Return ``δ = 2πζ/√(1 − ζ²)``, the inverse of :func:`damping_ratio`; infinite at ζ = 1, NaN above."""
    with np.errstate(divide="ignore", invalid="ignore"):
        delta: Real = 2 * np.pi * np.divide(zeta, np.sqrt(1 - np.square(zeta)))
    return delta


def overshoot(zeta: Real) -> Real:
    """Return the share of a push that comes out on the other side, ``exp(−πζ/√(1 − ζ²))``: 0.16 at ζ = 0.5."""
    return np.exp(-log_decrement(zeta) / 2)


def ratio_from_overshoot(share: Real) -> Real:
    """Return ζ from the share of a push that comes out on the other side, ``−ln s/√(π² + ln² s)``; 0 < s ≤ 1.

    Without friction; with it the true ratio of the damper is lower, for friction takes height as well.
    """
    return damping_ratio(-2 * np.log(share))


def next_height(height: Real, zeta: Real, friction: Real) -> Real:
    """Return the height in m of the next turning point, ``q a − f (1 + q)`` with ``q = overshoot(ζ)``, ``f = F/k``.

    ``height`` (a) is that of the last one, above ``friction``; without damping it loses ``2 F/k`` a swing, ``4 F/k`` a
    cycle, in a straight line.  Below zero the motion ended before the middle.
    """
    q = overshoot(zeta)
    return q * height - friction * (1 + q)


def natural_frequency(damped: Real, zeta: Real) -> Real:
    """Return ``f_n = f_d/√(1 − ζ²)`` in the unit of ``damped``."""
    natural: Real = damped / np.sqrt(1 - np.square(zeta))
    return natural


def friction_share(height: float, zeta: float, friction: float, swings: int) -> float:
    """Return the part of the height lost over ``swings`` swings from ``height`` (m) that friction took, 0 to 1."""
    q = float(overshoot(zeta))
    by_friction = by_damping = 0.0
    for _ in range(swings):
        if height <= friction:
            break
        by_friction += friction * (1 + q)
        by_damping += (1 - q) * height
        height = float(next_height(height, zeta, friction))
    lost = by_friction + by_damping
    return by_friction / lost if lost > 0 else 0.0
