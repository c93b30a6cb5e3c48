"""The pressure of the air outside, from the height above the sea."""
from __future__ import annotations

import numpy as np

from analysis.shapes import Real

SEA_LEVEL = 101_325.0
"""Pressure at sea level in Pa (ISO 2533, exact)."""

SEA_LEVEL_TEMPERATURE = 288.15
"""Temperature at sea level in K (ISO 2533, exact)."""

LAPSE = -0.0065
"""Change of temperature with geopotential height in K/m up to 11 km (ISO 2533, exact)."""

GRAVITY = 9.80665
"""Standard acceleration of free fall in m/s² (ISO 2533, exact)."""

AIR_CONSTANT = 287.05287
"""Specific gas constant of dry air in J/(kg K) (ISO 2533)."""

LOWEST, HIGHEST = -2_000.0, 11_000.0
"""The layer this formula holds for, in m; no road leaves it."""


def pressure_at(altitude_m: Real) -> Real:
    """Return the standard pressure in Pa at a geopotential altitude in m: ``p₀ (1 + L H/T₀)^(−g/(R L))``.

    Raises ``ValueError`` outside −2 km to 11 km.  Weather moves the true pressure by some 3 % either way.
    Source: ISO 2533, Standard Atmosphere.
    """
    if np.any(np.less(altitude_m, LOWEST)) or np.any(np.greater(altitude_m, HIGHEST)):
        raise ValueError(f"An altitude must lie between {LOWEST:.0f} and {HIGHEST:.0f} m.")
    return SEA_LEVEL * np.power(1 + LAPSE * altitude_m / SEA_LEVEL_TEMPERATURE, -GRAVITY / (AIR_CONSTANT * LAPSE))
