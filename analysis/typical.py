"""Typical values that stand in where a case leaves a quantity out.

Every row is common practice, no source.  Each use is reported under ``assumed`` with its reason, and each carries a
wide spread, so that an assumption can never pass for a measurement.
"""
from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Typical:
    """What is usual for a kind of bike; lengths mm, masses kg, each with its standard deviation in ``SPREAD``."""

    stanchion_mm: float
    travel_mm: float
    bike_kg: float
    unsprung_front_kg: float
    rake_deg: float
    sag_share: float
    """Rider sag as a share of full stroke that suits the kind."""


BY_KIND: dict[str, Typical] = {
    "road": Typical(41, 130, 195, 16, 24.5, 0.28),
    "sport": Typical(43, 120, 195, 16, 23.8, 0.28),
    "touring": Typical(43, 135, 260, 18, 25.5, 0.28),
    "heavyweight": Typical(43, 125, 310, 22, 30.0, 0.28),
    "scooter": Typical(33, 90, 150, 9, 26.5, 0.26),
    "adventure": Typical(43, 200, 225, 17, 26.5, 0.28),
    "off road": Typical(48, 300, 112, 12, 26.5, 0.25),
    "trials": Typical(39, 165, 70, 9, 23.0, 0.32),
    "supermoto": Typical(47, 270, 125, 13, 26.0, 0.26),
    "classic": Typical(36, 130, 190, 16, 27.0, 0.28),
    "outfit": Typical(41, 130, 320, 20, 25.0, 0.28),
    "other": Typical(41, 130, 190, 16, 25.5, 0.28),
}

SPREAD = Typical(3.5, 14, 30, 3.0, 1.5, 0.035)
"""Standard deviation of each row's values, in the same units."""

WALL_MM = (5.0, 1.0)
"""How much smaller the bore is than the sliding tube, mm: mean and standard deviation."""

INNER_AREA_MM2 = {"damper rod": (0.0, 25.0), "open cartridge": (110.0, 70.0), "sealed cartridge": (450.0, 220.0),
                  "separate function": (110.0, 90.0)}
"""What stands in the bore at the oil surface, by damper, mm²: mean and standard deviation."""

STEEL_ML_PER_MM_TRAVEL = (0.42, 0.10)
"""Volume of spring, spacer and washers by the fork's stroke, ml/mm: mean and standard deviation."""

SPACER_ML = (10.0, 5.0)
"""Spacer and washers beside a spring whose own steel is known, ml."""

FITTINGS_ML = (8.0, 6.0)
"""Steel in a leg without a spring: its damper's fittings, ml."""

CAP_ML = (0.0, 4.0)
"""Volume of the cap: counted as nothing, since the book's level meets the same cap, ml."""

PRELOAD_MM = (14.0, 6.0)
"""Spring compression at full extension, mm."""

BIKE_FRONT_SHARE = (0.49, 0.02)
RIDER_FRONT_SHARE = (0.42, 0.04)
RIDER_KG = (86.0, 14.0)
BRAKING_G = (1.0, 0.05)
PITCH_MM = (1.25, 0.25)
"""A preload adjuster's travel a turn, mm."""
LEVEL_BOOK_MM = (130.0, 22.0)
PUSH_N = 950.0
"""A quick, hard push on the bars, over the bike's own load, N."""
N_SLOW = (1.0, 0.04)
"""Exponent of slow tests: nearly isothermal."""
N_FAST = (1.2, 0.06)
"""Exponent of riding, between isothermal 1 and adiabatic 1.4."""


def typical(kind: str | None) -> Typical:
    """Return the row for a kind of bike; the row of 'other' where the kind is not known."""
    return BY_KIND.get(kind or "other", BY_KIND["other"])
