"""Sag from tape readings, and the friction that two readings of it betray.

The same stretch of tube is read three times: fully extended, after pushing down and letting rise ("from below"), and
after lifting and letting sink ("from above").  Friction holds the fork deeper in the first case, higher in the second.
"""
from __future__ import annotations

from dataclasses import dataclass

from analysis.shapes import Real


@dataclass(frozen=True)
class Sag:
    """One sag in m: the mean stroke, half the gap between its two readings, and the spread of the mean."""

    mean: float
    half_band: float
    sd: float


def sag_from_readings(extended: float, from_below: float, from_above: float, sd_each: float) -> Sag:
    """Return the sag from three readings of the tube that shows, in m, each with the spread ``sd_each``.

    ``sag = extended − (below + above)/2``, ``half band = |above − below|/2``; spread ``√1.5 sd``.

    With air in the leg the force bends upward with stroke, so this mean lies below the stroke that a fork without
    friction would take.  The fork's forces at both strokes tell load and friction exactly: :func:`friction_between`.
    """
    mean = extended - (from_below + from_above) / 2
    return Sag(mean, abs(from_above - from_below) / 2, 1.5**0.5 * sd_each)


def readings_swapped(from_below: float, from_above: float, sd_each: float) -> bool:
    """Tell whether more tube shows after rising than after sinking, beyond twice the spread of that difference.

    Friction cannot do that; the two readings were swapped or one is wrong.
    """
    return from_below - from_above > 2 * 2**0.5 * sd_each


def friction_between(force_below: Real, force_above: Real) -> Real:
    """Return the friction in N from the fork's own force at both readings, ``(F_below − F_above)/2``.

    Exact with any spring and air: reached from below it carries load plus friction, from above load less friction.
    """
    return (force_below - force_above) / 2
