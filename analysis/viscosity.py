"""Viscosity of oil: with temperature, by its index, in a blend, by grade, and what a label does not say.

Plain floats or numpy arrays that broadcast; kinematic viscosity in m²/s (1 mm²/s = 1 cSt = 1e-6), temperature in K.
"""
from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.shapes import Real

CST = 1e-6
"""One centistokes, 1 mm²/s, in m²/s."""
T_40, T_100 = 313.15, 373.15
"""The two temperatures, in K, at which oils are named."""
THINNEST = 2.0
"""mm²/s below which the straight line of Walther and the index are not defined (ASTM D341, D2270)."""

_INDEX_FROM = np.array([2.0, 3.8, 4.4, 5.0, 6.4, 7.0, 7.7, 9.0, 12.0, 15.0, 18.0, 22.0, 28.0, 40.0, 55.0, 70.0])
_INDEX_FITS = np.array([
    (1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077), (3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119), (0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557),
    (3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656), (0.01191, 21.475, -72.87, 0.79762, -0.7321, 14.61),
    (0.41858, 16.1558, -56.04, 0.05794, 10.5156, -28.24), (0.88779, 7.5527, -16.6, 0.26665, 6.7015, -10.81),
    (0.7672, 10.7972, -38.18, 0.20073, 8.4658, -22.49), (0.97305, 5.3135, -2.2, 0.28889, 5.9741, -4.93),
    (0.97256, 5.25, -0.98, 0.24504, 7.416, -16.73), (0.91413, 7.4759, -21.82, 0.20323, 9.1267, -34.23),
    (0.87031, 9.7157, -50.77, 0.18411, 10.1015, -46.75), (0.84703, 12.6752, -133.31, 0.17029, 11.4866, -80.62),
    (0.85921, 11.1009, -83.19, 0.1713, 11.368, -76.94), (0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
])
# Rows a b c d e f of ASTM D2270's own quadratics L = a Y² + b Y + c, H = d Y² + e Y + f from each Y on; recalled, and
# within 0.1 % of the standard's table.


@dataclass(frozen=True)
class Line:
    """An oil's straight line ``log₁₀ log₁₀(ν + 0.7) = a − b log₁₀ T``, ν in mm²/s and T in K (Walther, ASTM D341)."""

    a: Real
    b: Real

    def at(self, t: Real) -> Real:
        """Return the kinematic viscosity in m²/s at ``t`` (K); NaN below 2 mm²/s, where the line bends."""
        cst = np.power(10.0, np.power(10.0, self.a - self.b * np.log10(t))) - 0.7
        return _plain(np.where(cst >= THINNEST, cst, np.nan) * CST)


def line_through(nu_1: Real, t_1: Real, nu_2: Real, t_2: Real) -> Line:
    """Return the line through two viscosities in m²/s at two temperatures in K.

    NaN where a viscosity is below 2 mm²/s, the temperatures are equal, or the oil would thicken with warmth.
    """
    w_1, w_2 = _double_log(nu_1), _double_log(nu_2)
    gap = np.log10(t_2) - np.log10(t_1)
    slope = np.divide(w_1 - w_2, gap, out=np.full(np.shape(w_1 - w_2 + gap), np.nan), where=gap != 0)
    b = np.where(slope > 0, slope, np.nan)
    return Line(_plain(w_1 + b * np.log10(t_1)), _plain(b))


def line_from_index(nu_40: Real, index: Real) -> Line:
    """Return the line of an oil from its viscosity at 40 °C in m²/s and its viscosity index."""
    return line_through(nu_40, T_40, viscosity_100(nu_40, index), T_100)


def _double_log(nu: Real) -> NDArray[np.float64]:
    """Return ``log₁₀ log₁₀(ν + 0.7)`` of a viscosity in m²/s; NaN below 2 mm²/s."""
    cst = np.asarray(nu, dtype=np.float64) / CST
    inner = np.log10(np.where(cst >= THINNEST * (1 - 1e-9), cst, np.nan) + 0.7)
    return np.asarray(np.log10(inner))


def viscosity_index(nu_40: Real, nu_100: Real) -> Real:
    """Return the viscosity index after ASTM D2270 from the viscosities at 40 and 100 °C in m²/s.

    ``100 (L − U)/(L − H)`` up to 100, above it ``(10ᴺ − 1)/0.00715 + 100`` with ``N = log(H/U)/log Y``; L and H
    from the standard's quadratics in ``Y`` (its tables differ by up to 0.1 %).  NaN below 2 mm²/s at 100 °C.
    """
    u, y = np.asarray(nu_40, dtype=np.float64) / CST, np.asarray(nu_100, dtype=np.float64) / CST
    y = np.where(y >= THINNEST * (1 - 1e-9), y, np.nan)
    a, b, c, d, e, f = np.moveaxis(_INDEX_FITS[np.maximum(np.searchsorted(_INDEX_FROM, y, "right") - 1, 0) % 16], -1, 0)
    low, high = a * y**2 + b * y + c, d * y**2 + e * y + f
    with np.errstate(over="ignore"):
        upper = (np.power(10.0, np.log10(high / u) / np.log10(y)) - 1) / 0.00715 + 100
    return _plain(np.where(u >= high, 100 * (low - u) / (low - high), upper))


def viscosity_100(nu_40: Real, index: Real) -> Real:
    """Return the viscosity in m²/s at 100 °C of an oil with a viscosity index: :func:`viscosity_index` turned round.

    By halving, for the index rises with the viscosity at 100 °C.  NaN where that would be below 2 mm²/s or where no
    oil has such an index.
    """
    goal = np.broadcast_arrays(np.asarray(nu_40, dtype=np.float64), np.asarray(index, dtype=np.float64))
    low, high = np.full(goal[0].shape, THINNEST * CST), goal[0] * 1.0
    inside = (viscosity_index(goal[0], low) <= goal[1]) & (viscosity_index(goal[0], high) >= goal[1]) & (high > low)
    for _ in range(60):
        middle = (low + high) / 2
        above = viscosity_index(goal[0], middle) > goal[1]
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return _plain(np.where(inside, (low + high) / 2, np.nan))


def blend(nu_1: Real, nu_2: Real, share_1: Real) -> Real:
    """Return the viscosity in m²/s of two oils poured together, ``share_1`` of the volume being the first.

    Both at the same temperature, and so is the blend: ``W = Σ share W`` with ``W = log₁₀ log₁₀(ν + 0.7)`` (the way of
    ASTM D7152).  Never the plain mean, always below it.  NaN for shares outside 0 to 1.
    """
    share = np.where((np.asarray(share_1) >= 0) & (np.asarray(share_1) <= 1), share_1, np.nan)
    mixed = share * _double_log(nu_1) + (1 - share) * _double_log(nu_2)
    return _plain((np.power(10.0, np.power(10.0, mixed)) - 0.7) * CST)


def damping_change(line: Line, t_from: Real, t_to: Real, viscous_share: Real = 1.0) -> Real:
    """Return the force of a damper at ``t_to`` as a multiple of that at ``t_from`` (K), same speed and setting.

    Oil in a narrow bleed resists with its viscosity; through a hole or a valve with its density, which hardly changes.
    ``viscous_share`` is the bleed's part of the force at ``t_from``: 1 at a creep, near 0 on a sharp edge.
    ``s ν(t_to)/ν(t_from) + (1 − s)``.
    """
    return viscous_share * (line.at(t_to) / line.at(t_from)) + (1 - viscous_share)


def _plain(values: object) -> Real:
    """Return a float for a scalar result and the array for an array."""
    array = np.asarray(values, dtype=np.float64)
    return float(array) if array.ndim == 0 else array
