"""One fork leg: air column, spring, and the stroke at which it can go no further.

Every field and argument is a float or an array of one broadcastable shape, SI units, so that one call answers for one
leg or for thousands of drawn ones.
"""
from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = float | NDArray[np.float64]
"""A number or an array of them."""


@dataclass(frozen=True)
class Leg:
    """A leg in one set-up.

    seal_area: area of the sliding tube's outside, m².  stroke: full stroke S, m.
    air_compressed: air left at full stroke V_c, m³; zero or less means that the leg locks on oil before full stroke.
    closed_pressure: absolute pressure at full extension p_e, Pa.  ride_pressure: the atmosphere around it, Pa.
    rate: spring rate k, N/m (0: no spring in this leg).  preload: spring compression at full extension P, m.
    bind: stroke at which the coils touch, m (inf: never, or not known).
    """

    seal_area: Real
    stroke: Real
    air_compressed: Real
    closed_pressure: Real
    ride_pressure: Real
    rate: Real
    preload: Real
    bind: Real = np.inf

    @property
    def air_extended(self) -> Real:
        """Air at full extension V_e = V_c + A_s S, m³."""
        return self.air_compressed + self.seal_area * self.stroke

    @property
    def lock(self) -> Real:
        """Stroke at which the oil is solid, x = V_e / A_s, m; inf where air is left at full stroke (V_c > 0)."""
        stroke = np.maximum(self.air_extended / self.seal_area, 0.0)
        return _plain(np.where(np.asarray(self.air_compressed) > 0, np.inf, stroke))

    @property
    def end(self) -> Real:
        """The furthest this leg can go: the least of full stroke, coil bind and lock, m."""
        return _plain(np.minimum(np.minimum(self.stroke, np.maximum(self.bind, 0.0)), self.lock))


def _plain(value: NDArray[np.float64]) -> Real:
    return float(value) if np.ndim(value) == 0 else value


def air_force_in(leg: Leg, x: Real, exponent: Real) -> Real:
    """Return the air's force against the atmosphere where it is ridden, N.

    F = (p_e (V_e / (V_e − A_s x))ⁿ − p_ride) A_s; +inf at or beyond the stroke where the volume is used up.
    """
    left = np.asarray(leg.air_extended - leg.seal_area * x)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = np.where(left > 0, leg.air_extended / np.where(left > 0, left, 1.0), np.inf)
        force = (leg.closed_pressure * ratio**exponent - leg.ride_pressure) * leg.seal_area
    return _plain(np.asarray(force))


def spring_force_in(leg: Leg, x: Real) -> Real:
    """Return the spring's force k max(P + x, 0), N: a slack spring pushes nothing."""
    return _plain(np.asarray(leg.rate * np.maximum(leg.preload + x, 0.0)))


def leg_force(leg: Leg, x: Real, exponent: Real) -> Real:
    """Return the force along the leg at stroke x, air and spring together, without friction, N."""
    return air_force_in(leg, x, exponent) + spring_force_in(leg, x)


def leg_stiffness(leg: Leg, x: Real, exponent: Real) -> Real:
    """Return dF/dx = k (where the spring is in touch) + n p A_s² / V, N/m; +inf at lock."""
    left = np.asarray(leg.air_extended - leg.seal_area * x)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        safe = np.where(left > 0, left, 1.0)
        pressure = leg.closed_pressure * (leg.air_extended / safe) ** exponent
        air = np.where(left > 0, exponent * pressure * leg.seal_area**2 / safe, np.inf)
    spring = np.where(np.asarray(leg.preload + x) > 0, leg.rate, 0.0)
    return _plain(np.asarray(air + spring))
