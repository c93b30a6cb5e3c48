"""One fork leg: air column, spring, and the stroke at which it can go no further.

Every field and argument is a float or an array of one broadcastable shape, SI units, so that one call answers for one
leg or for thousands of drawn ones.
"""
from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.air import air_pressure

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


def air_push(leg: Leg, x: Real, exponent: Real) -> tuple[Real, Real]:
    """Return the air's force against the atmosphere where it is ridden (N) and its stiffness (N/m).

    F = (p − p_ride) A_s and dF/dx = n p A_s² / V with p = p_e (V_e / V)ⁿ and V = V_e − A_s x; both +inf at or beyond
    the stroke where the volume is used up.
    """
    left = leg.air_extended - leg.seal_area * x
    pressure = np.asarray(air_pressure(leg.closed_pressure, leg.air_extended, left, exponent))
    solid = np.isnan(pressure)
    force = np.where(solid, np.inf, (pressure - leg.ride_pressure) * leg.seal_area)
    stiffness = np.where(solid, np.inf, exponent * pressure * np.square(leg.seal_area) / np.where(solid, 1.0, left))
    return _plain(force), _plain(stiffness)


def spring_push(leg: Leg, x: Real) -> tuple[Real, Real]:
    """Return the spring's force k max(P + x, 0) (N) and its stiffness (N/m): a slack spring pushes nothing."""
    squeezed = np.asarray(leg.preload + x)
    return _plain(leg.rate * np.maximum(squeezed, 0.0)), _plain(np.where(squeezed > 0, leg.rate, 0.0))


def leg_push(leg: Leg, x: Real, exponent: Real) -> tuple[Real, Real]:
    """Return force (N) and stiffness (N/m) along the leg at stroke x, air and spring together, without friction."""
    air, spring = air_push(leg, x, exponent), spring_push(leg, x)
    return air[0] + spring[0], air[1] + spring[1]
