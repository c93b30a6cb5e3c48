"""What warmth does to a leg: oil grows into the air, and the air's own pressure grows."""
from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.leg import Leg
from analysis.oil import expand
from analysis.shapes import plain

ROOM_TEMPERATURE = 293.15
"""Temperature at which a fork is filled where none is given, K."""
HOT = 333.15
"""Oil on a long, fast ride where none is given, K: common practice, no source."""


def grown(amount: float | None, cold: float, hot: float) -> float:
    """Return by how much that oil grows, V α ΔT, m³; 0 where its amount is not known."""
    return 0.0 if amount is None else float(expand(amount, hot - cold)) - amount


def warmed(leg: Leg, amount: float | None, cold: float, hot: float) -> Leg:
    """Return the leg warm: the air at full extension p = p_e (T / T_0) V_e / (V_e − ΔV)."""
    left = np.asarray(leg.air_compressed) - grown(amount, cold, hot)
    room = left + np.asarray(leg.seal_area) * leg.stroke
    shut = np.asarray(leg.closed_pressure)
    pressure = np.where(room > 0, shut * hot / cold * leg.air_extended / np.where(room > 0, room, 1.0), shut)
    return replace(leg, air_compressed=plain(left), closed_pressure=plain(pressure))
