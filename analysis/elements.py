"""Force elements beside a straight spring and one air column: what else can push in a leg.

Each function returns force (N, positive where it pushes the leg apart) and stiffness dF/dx (N/m) at stroke x.
Arguments are floats or arrays of one broadcastable shape, SI units.
"""
from __future__ import annotations

import numpy as np

from analysis.air import air_pressure
from analysis.shapes import Push, Real


def two_rate_push(rate: Real, second_rate: Real, changes_at: Real, squeezed: Real) -> Push:
    """Return the push of a spring whose rate changes once: F = k₁ c up to c₁, then k₁ c₁ + k₂ (c − c₁).

    ``squeezed``: spring compression c, m; ``changes_at``: compression c₁ at which the first coils are closed, m.
    Two springs in a row of rates a and b have k₁ = a b / (a + b) until the softer one is closed, then k₂ = the stiffer.
    """
    c = np.maximum(squeezed, 0.0)
    over = np.maximum(c - changes_at, 0.0)
    force = rate * np.minimum(c, changes_at) + second_rate * over
    stiffness = np.where(over > 0, second_rate, np.where(np.asarray(squeezed) > 0, rate, 0.0))
    return force, stiffness


def progressive_push(rate: Real, end_rate: Real, length: Real, squeezed: Real) -> Push:
    """Return the push of a spring whose rate grows evenly from ``rate`` to ``end_rate`` over ``length`` of compression.

    F = k₁ c + (k₂ − k₁) c² / (2 L) up to L, straight on with k₂ beyond; the integral of its rate.
    """
    c = np.maximum(squeezed, 0.0)
    inside = np.minimum(c, length)
    growth = (end_rate - rate) / length
    force = rate * inside + 0.5 * growth * np.square(inside) + end_rate * (c - inside)
    stiffness = np.where(np.asarray(squeezed) > 0, np.where(c < length, rate + growth * inside, end_rate), 0.0)
    return force, stiffness


def top_out_push(rate: Real, length: Real, x: Real) -> Push:
    """Return the push of a top-out spring: −k max(L − x, 0).  It pulls the leg together over its first ``length`` m."""
    left = np.maximum(length - np.asarray(x), 0.0)
    return -rate * left, np.where(left > 0, rate, 0.0)


def bump_stop_push(rate: Real, length: Real, stroke: Real, x: Real) -> Push:
    """Return the push of a bump rubber or oil stop over the last ``length`` m of the stroke.

    F = k y (1 + y / L) with y = x − (S − L): it starts at rate k and ends at three times that.  The shape is common
    practice, no source.  Only the rubber's spring is meant: an oil stop's damping does not hold a resting load.
    """
    y = np.maximum(np.asarray(x) - (stroke - length), 0.0)
    return rate * y * (1 + y / length), np.where(y > 0, rate * (1 + 2 * y / length), 0.0)


def balance_push(area: Real, pressure: Real, ambient: Real, volume: Real, x: Real, exponent: Real) -> Push:
    """Return the push of a balance chamber, which grows with stroke and pulls the leg together.

    V(x) = V_0 + A x, p = p_0 (V_0 / V)ⁿ, F = −(p − p_ride) A; absolute pressures, ``volume`` V_0 at full extension.
    """
    grown = volume + area * np.asarray(x)
    inside = np.asarray(air_pressure(pressure, volume, grown, exponent))
    return -(inside - ambient) * area, exponent * inside * np.square(area) / grown
