"""Coil springs: rate, force, solid length, and the volume of their steel.

Plain floats or numpy arrays that broadcast; SI units throughout.
"""
from __future__ import annotations

import numpy as np

from analysis.shapes import Real

STEEL_G = 79.3e9
"""Shear modulus of music wire and oil-tempered steel spring wire in Pa.

Handbooks give 77.2 to 81.5 GPa with wire and diameter (Shigley, Mechanical Engineering Design, table 10-5: 11.5 Mpsi,
79.3 GPa, for wire over 3 mm; EN 13906-1: 81.5 GPa for patented wire), recalled and not looked up.
"""

STEEL_G_SD = 1.5e9
"""Spread of that modulus over the wires in use, in Pa: half the range of the handbooks, rounded."""


def spring_rate(g: Real, d: Real, D: Real, n_a: Real) -> Real:
    """Return the rate of a helical spring of round wire in N/m: ``G d⁴ / (8 D³ N_a)``.

    ``g`` shear modulus in Pa, ``d`` wire and ``D`` mean coil diameter in m, ``n_a`` coils that work.
    Source: EN 13906-1; Shigley, Mechanical Engineering Design, chapter 10.
    """
    return g * np.power(d, 4) / (8 * np.power(D, 3) * n_a)


def rate_spread(rate: Real, d: Real, D: Real, n_a: Real, *,
                sd_d: Real, sd_D: Real, sd_n: Real, share_g: Real = STEEL_G_SD / STEEL_G) -> Real:
    """Return the standard deviation of a rate worked out from wire and coil, in N/m, to first order.

    Each relative spread counts with the power it has in the formula: wire four times, coil three times.  ``share_g``
    is the relative spread of the shear modulus.
    """
    parts = np.square(share_g) + np.square(4 * sd_d / d) + np.square(3 * sd_D / D) + np.square(sd_n / n_a)
    relative: Real = np.sqrt(parts)
    return rate * relative


def solid_length(d: Real, n_t: Real) -> Real:
    """Return the length in m with all coils touching: ``N_t d``, ends closed and ground (Shigley, table 10-1)."""
    return d * n_t


def steel_volume(d: Real, D: Real, n_t: Real) -> Real:
    """Return the steel of a spring in m³: a wire of section ``π d²/4`` and length ``π D N_t``.

    The pitch lengthens the wire by less than 2 % in a fork spring and is left out.
    """
    return np.pi * np.square(d) / 4 * np.pi * D * n_t
