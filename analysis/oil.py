"""The oil of one leg: level and volume, what stays behind after draining, and growth with warmth.

Plain floats or numpy arrays that broadcast; SI units throughout.  A level is the depth from the top of the tube down
to the oil, so more oil is a smaller level.  The standard condition is the leg fully together with the spring out.
"""
from __future__ import annotations

import numpy as np

from analysis.shapes import Real

OIL_GROWTH = 7.3e-4
"""Growth of fork oil per kelvin near room temperature: ``0.6278/ρ`` (API MPMS 11.1, lubricating oils) at 860 kg/m³."""

RESIDUE = {"dry": (0.0, 0.007), "pumped": (0.05, 0.015), "not pumped": (0.15, 0.04)}
"""Share of the book's amount that stays in a leg when it is emptied, and its spread.

Common practice, no source: the amount for a dry leg holds for one that was fully apart, within 1 %; drained and pumped
5 % stays (2 to 8 %); drained only 15 % (8 to 20 %).
"""

CAME_OUT = {"pumped": (0.95, 0.015), "not pumped": (0.875, 0.03)}
"""Share of the oil in a leg that comes out of it, and its spread.  Common practice, no source.

Pumped 0.92 to 0.98; not pumped 0.85 to 0.90 for most legs, less where a cartridge holds on to it.
"""

WETTED_STEEL = (0.75, 0.15)
"""Share of the spring's steel that stands below the oil in a leg pushed together, and its spread: common practice."""

EXTENDED_SHARE_SD = 0.03
"""Spread of the shift of level between an extended and a compressed leg, as a share of that shift: common practice.

The parts that stand in the bore stand elsewhere when the leg is long.
"""

CONDITIONS = ("compressed spring out", "compressed spring in", "extended spring out", "not sure")
"""How a leg can have been when its level was read."""


def level_volume(area: Real, level: Real) -> Real:
    """Return the volume in m³ between the top of the tube and the oil: ``A h``, ``area`` free of inner parts (m²)."""
    return area * level


def excess_from_level(gas_area: Real, level: Real, level_book: Real) -> Real:
    """Return the oil above the book's in m³, ``A_g (h_book − h)``; negative where oil is missing."""
    return gas_area * (level_book - level)


def expand(volume: Real, d_t: Real, alpha: Real = OIL_GROWTH) -> Real:
    """Return the volume in m³ after warming by ``d_t`` kelvin: ``V (1 + α ΔT)``.

    Straight, and within 0.1 % of the curve of API MPMS 11.1 from −10 to 50 °C around a workshop's 20 °C.
    """
    return volume * (1 + alpha * d_t)


def residual_share(filled: str | None, pumped: bool | None) -> tuple[float, float] | None:
    """Return (mean, spread) of the share of the book's amount that was still in the leg when the new oil went in.

    ``filled``: ``dry``, ``drained`` or ``level set``.  None where the way of filling says nothing about it: not known,
    or a level was set, and then the level alone counts.  Drained, and not known whether pumped, lies between the two.
    """
    if filled == "dry":
        return RESIDUE["dry"]
    if filled != "drained":
        return None
    return _by_pumping(RESIDUE, pumped)


def _by_pumping(shares: dict[str, tuple[float, float]], pumped: bool | None) -> tuple[float, float]:
    """Pick a share by whether the leg was pumped; where that is not known, mix the two half and half."""
    if pumped is not None:
        return shares["pumped" if pumped else "not pumped"]
    (first, first_sd), (second, second_sd) = shares["pumped"], shares["not pumped"]
    variance = (first_sd**2 + second_sd**2) / 2 + ((first - second) / 2) ** 2
    return (first + second) / 2, variance**0.5


def oil_in_leg(
    poured: float, book: float, filled: str | None, pumped: bool | None, *,
    poured_sd: float = 0.0, book_sd: float = 0.0,
) -> tuple[float, float] | None:
    """Return (mean, spread) in m³ of the oil in a leg after filling: ``poured + share × book``; all in m³.

    None where the way of filling says nothing (see :func:`residual_share`).
    """
    share = residual_share(filled, pumped)
    if share is None:
        return None
    mean, sd = share
    return poured + mean * book, float(np.sqrt(poured_sd**2 + (mean * book_sd) ** 2 + (sd * book) ** 2))


def oil_in_leg_from_drained(drained: float, pumped: bool | None, *, drained_sd: float = 0.0) -> tuple[float, float]:
    """Return (mean, spread) in m³ of the oil that was in a leg ``drained`` m³ came out of: ``out / share``."""
    share, sd = _by_pumping(CAME_OUT, pumped)
    mean = drained / share
    return mean, float(np.hypot(drained_sd / share, mean * sd / share))


def standard_level(
    level: float, condition: str, gas_area: float | None, seal_area: float | None, stroke: float | None,
    steel_volume: float | None,
) -> tuple[float, float] | None:
    """Return (level, added spread) in m as if the leg had been fully together with the spring out.

    - extended, spring out: pushing the leg together takes ``A_s S`` from the space above the oil, so ``h − A_s S/A_g``
      (negative: the oil would stand above the tube, the leg cannot be pushed together with the cap on);
    - together, spring in: the steel below the surface has lifted it, so ``h + 0.75 V_steel/A_g``.

    None where the condition is not sure or a number it needs is None: such a reading says nothing.
    Raises ``ValueError`` for a condition that is not in :data:`CONDITIONS`.
    """
    if condition not in CONDITIONS:
        raise ValueError(f"How the leg was must be one of: {', '.join(CONDITIONS)}.")
    if condition == "compressed spring out":
        return level, 0.0
    if condition == "extended spring out" and gas_area and seal_area and stroke:
        shift = seal_area * stroke / gas_area
        return level - shift, EXTENDED_SHARE_SD * shift
    if condition == "compressed spring in" and gas_area and steel_volume is not None:
        share, sd = WETTED_STEEL
        return level + share * steel_volume / gas_area, sd * steel_volume / gas_area
    return None
