"""The air above the oil in one fork leg: a sealed column that the stroke shortens.

Plain floats or numpy arrays that broadcast against each other; SI units throughout; pressures are absolute.
The column is trapped between the oil and the cap, so its volume falls by ``area × stroke`` where ``area`` belongs to
the outside diameter of the sliding tube, not to the bore the oil stands in.
"""
from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.shapes import Real, plain

N_SLOW = 1.0
"""Exponent of a stroke so slow that the air stays at the temperature of the leg (isothermal)."""

def circle_area(diameter: Real) -> Real:
    """Return ``π d²/4`` in m² for a diameter in m: seal area or bore area, whichever diameter is given."""
    return np.pi * np.square(diameter) / 4


def compressed_volume(gas_area: Real, level: Real, steel: Real, cap: Real) -> Real:
    """Return the air left at full stroke in m³: ``A_g h − V_steel − V_cap``.

    ``gas_area`` (m²) is the bore less the parts standing in it, ``level`` (m) is measured from the top of the tube to
    the oil with the leg fully together and the spring out.  Zero or less means that the leg locks before full stroke.
    """
    return gas_area * level - steel - cap


def extended_volume(v_c: Real, area: Real, stroke: Real) -> Real:
    """Return the air at full extension in m³: ``V_c + A_s S``."""
    return v_c + area * stroke


def air_volume(v_e: Real, area: Real, x: Real) -> Real:
    """Return the air left at stroke ``x`` in m³: ``V_e − A_s x``; zero or less where the oil has filled the leg."""
    return v_e - area * x


def air_pressure(p_e: Real, v_e: Real, v: Real, n: Real) -> Real:
    """Return the absolute pressure in Pa of air squeezed from ``v_e`` to ``v``: ``p_e (V_e/V)ⁿ``.

    NaN where ``v <= 0`` or ``v_e <= 0``: there is no air, and no pressure that could be named.  ``n`` lies between
    1 (isothermal) and 1.4 (isentropic, diatomic gas); the truth lies between the two answers.
    Source: polytropic change of an ideal gas, any text on thermodynamics.
    """
    ratio = np.divide(v_e, v, out=_nothing(v_e, v), where=np.greater(v, 0) & np.greater(v_e, 0))
    return plain(p_e * ratio**n)


def lock_stroke(v_c: Real, area: Real, stroke: Real) -> Real:
    """Return the stroke in m at which the oil fills the leg, ``S + V_c/A_s``; NaN where ``V_c > 0``: no lock."""
    return plain(np.where(np.less_equal(v_c, 0), stroke + np.divide(v_c, area), np.nan))


def compression_ratio(v_c: Real, v_e: Real) -> Real:
    """Return ``V_e/V_c``, the ratio the air is squeezed by over the full stroke; NaN where ``V_c <= 0``."""
    return plain(np.divide(v_e, v_c, out=_nothing(v_e, v_c), where=np.greater(v_c, 0)))


def air_left_from_stop(area: Real, stop: Real, stroke: Real) -> Real:
    """Return the air volume at full stroke in m³ that a hard stop felt at ``stop`` tells of: ``A_s (x_w − S)``.

    The inverse of :func:`lock_stroke`.  It is negative for a stop short of full stroke.  A rider feels the stop a
    little before the air is quite gone, so the answer is a lower bound on the air left.
    """
    return area * (stop - stroke)


def _nothing(*like: ArrayLike) -> NDArray[np.float64]:
    """Return NaNs in the shape the arguments broadcast to, to be filled where there is a number."""
    return np.full(np.broadcast_shapes(*(np.shape(each) for each in like)), np.nan)
