"""One fork leg: air column, spring, and the stroke at which it can go no further.

Every field and argument is a float or an array of one broadcastable shape, SI units, so that one call answers for one
leg or for thousands of drawn ones.
"""
from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.air import air_pressure
from analysis.elements import balance_push, bump_stop_push, progressive_push, top_out_push, two_rate_push
from analysis.shapes import Push, Real, plain


@dataclass(frozen=True)
class Parts:
    """What else pushes in a leg beside a straight spring and one air column; nothing where a field is None.

    second_rate, changes_at: rate of a two-rate spring after its compression ``changes_at`` (N/m, m).
    end_rate, grows_over: rate that a progressive spring reaches after that much compression (N/m, m).
    top_out, bump: (rate, length) of a top-out spring and of a bump rubber (N/m, m).
    balance: (area, closed absolute pressure, volume at full extension) of a balance chamber (m², Pa, m³).
    """

    second_rate: Real | None = None
    changes_at: Real | None = None
    end_rate: Real | None = None
    grows_over: Real | None = None
    top_out: tuple[Real, Real] | None = None
    bump: tuple[Real, Real] | None = None
    balance: tuple[Real, Real, Real] | None = None


    @property
    def any(self) -> bool:
        """Whether there is anything here at all."""
        return any(value is not None for value in vars(self).values())


PLAIN = Parts()
"""A straight spring and one air column, nothing else."""


@dataclass(frozen=True)
class Leg:
    """A leg in one set-up.

    seal_area: area of the sliding tube's outside, m².  stroke: full stroke S, m.
    air_compressed: air left at full stroke V_c, m³; zero or less means that the leg locks on oil before full stroke.
    closed_pressure: absolute pressure at full extension p_e, Pa.  ride_pressure: the atmosphere around it, Pa.
    rate: spring rate k, N/m (0: no spring in this leg).  preload: spring compression at full extension P, m.
    bind: stroke at which the coils touch, m (inf: never, or not known).
    parts: what else pushes in it.
    """

    seal_area: Real
    stroke: Real
    air_compressed: Real
    closed_pressure: Real
    ride_pressure: Real
    rate: Real
    preload: Real
    bind: Real = np.inf
    parts: Parts = PLAIN

    @property
    def air_extended(self) -> Real:
        """Air at full extension V_e = V_c + A_s S, m³."""
        return self.air_compressed + self.seal_area * self.stroke

    @property
    def lock(self) -> Real:
        """Stroke at which the oil is solid, x = V_e / A_s, m; inf where air is left at full stroke (V_c > 0)."""
        stroke = np.maximum(self.air_extended / self.seal_area, 0.0)
        return plain(np.where(np.asarray(self.air_compressed) > 0, np.inf, stroke))

    @property
    def end(self) -> Real:
        """The furthest this leg can go: the least of full stroke, coil bind and lock, m."""
        return plain(np.minimum(np.minimum(self.stroke, np.maximum(self.bind, 0.0)), self.lock))



def air_push(leg: Leg, x: Real, exponent: Real) -> Push:
    """Return the air's force against the atmosphere where it is ridden (N) and its stiffness (N/m).

    F = (p − p_ride) A_s and dF/dx = n p A_s² / V with p = p_e (V_e / V)ⁿ and V = V_e − A_s x; both +inf at or beyond
    the stroke where the volume is used up.
    """
    left = leg.air_extended - leg.seal_area * x
    pressure = np.asarray(air_pressure(leg.closed_pressure, leg.air_extended, left, exponent))
    solid = np.isnan(pressure)
    force = np.where(solid, np.inf, (pressure - leg.ride_pressure) * leg.seal_area)
    stiffness = np.where(solid, np.inf, exponent * pressure * np.square(leg.seal_area) / np.where(solid, 1.0, left))
    return plain(force), plain(stiffness)


def spring_push(leg: Leg, x: Real) -> Push:
    """Return the spring's force k max(P + x, 0) (N) and its stiffness (N/m): a slack spring pushes nothing.

    A spring with two rates, or one whose rate grows, follows :mod:`analysis.elements`.
    """
    squeezed, parts = leg.preload + x, leg.parts
    if parts.second_rate is not None and parts.changes_at is not None:
        return two_rate_push(leg.rate, parts.second_rate, parts.changes_at, squeezed)
    if parts.end_rate is not None and parts.grows_over is not None:
        return progressive_push(leg.rate, parts.end_rate, parts.grows_over, squeezed)
    touching = np.asarray(squeezed) > 0
    return plain(np.asarray(leg.rate * np.maximum(squeezed, 0.0))), plain(np.where(touching, leg.rate, 0.0))


def springless(leg: Leg) -> Leg:
    """Return the leg with its spring taken out; all else stays."""
    rest = replace(leg.parts, second_rate=None, changes_at=None, end_rate=None, grows_over=None)
    return replace(leg, rate=0.0, parts=rest if rest.any else PLAIN)


def parts_push(leg: Leg, x: Real, exponent: Real) -> Push:
    """Return force (N) and stiffness (N/m) of top-out spring, bump rubber and balance chamber together."""
    parts, pushes = leg.parts, []
    if parts.top_out is not None:
        pushes.append(top_out_push(*parts.top_out, x))
    if parts.bump is not None:
        pushes.append(bump_stop_push(*parts.bump, leg.stroke, x))
    if parts.balance is not None:
        area, pressure, volume = parts.balance
        pushes.append(balance_push(area, pressure, leg.ride_pressure, volume, x, exponent))
    force, stiffness = sum(push[0] for push in pushes), sum(push[1] for push in pushes)
    return force, stiffness


def leg_push(leg: Leg, x: Real, exponent: Real) -> Push:
    """Return force (N) and stiffness (N/m) along the leg at stroke x, air and spring together, without friction."""
    air, spring = air_push(leg, x, exponent), spring_push(leg, x)
    if leg.parts is PLAIN:
        return air[0] + spring[0], air[1] + spring[1]
    other = parts_push(leg, x, exponent)
    return air[0] + spring[0] + other[0], air[1] + spring[1] + other[1]
