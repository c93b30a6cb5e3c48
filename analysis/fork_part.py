"""The fork's part of the findings: both legs and both together, as found, by the book and as advised."""
from __future__ import annotations

import math
from typing import Any

import numpy as np

from analysis.catalogue import SIDES
from analysis.estimates import ML, MM
from analysis.leg_parts import Pick, middle
from analysis.setups import (
    SETS,
    SPREAD_DRAWS,
    Change,
    band_of,
    drawing,
    excess,
    figures_of,
    fork_of,
    leg_volumes,
    limit_of,
    loads_of,
    spread_of,
)
from analysis.state import State


def in_mm(value: Any) -> float | None:
    """Return a length in mm to a tenth; None stays None."""
    return scaled(value, MM, 1)


def in_ml(value: Any) -> float | None:
    """Return a volume in ml to a tenth; None stays None."""
    return scaled(value, ML, 1)


def scaled(value: Any, unit: float, digits: int) -> float | None:
    """Return a value in a unit, rounded; None where there is no finite one."""
    if value is None or not math.isfinite(float(value)):
        return None
    return round(float(value) / unit, digits) + 0.0


_UNIT = {"air_volume_compressed_ml": ML, "air_volume_extended_ml": ML, "compression_ratio": 1.0, "lock_stroke_mm": MM}


def fork_part(state: State, rng: np.random.Generator, front_stopped: bool, draws: int = SPREAD_DRAWS) -> dict[str, Any]:
    """Both legs' volumes and the fork's figures, for found, book and advised, with their spreads."""
    pick = drawing(rng, draws)
    part: dict[str, Any] = {side: _leg_part(state, side, pick, front_stopped) for side in SIDES}
    drawn_loads = loads_of(state.inputs, pick)
    names = ("usable_stroke_mm", "free_sag_mm", "rider_sag_mm", "coil_bind_stroke_mm")
    part["brake_load_n"] = dict.fromkeys(SETS, round(float(state.loads.braking), 1))
    part |= {name: {} for name in (*names, "limited_by")} | {"spread": {name: {} for name in names}}
    for which in SETS:
        hidden = front_stopped and which == "advised"
        nominal = None if hidden else state.forks[which]
        drawn = None if nominal is None else fork_of(state.inputs, state.case, which, state.change, pick)
        figures = figures_of(nominal, state.inputs, state.loads, middle)
        bands = figures_of(drawn, state.inputs, drawn_loads, pick)
        for name in names:
            part[name][which] = in_mm(figures[name])
            most = math.inf if name == "coil_bind_stroke_mm" else state.inputs.stroke.value
            band = band_of(bands[name], most)
            part["spread"][name][which] = None if band is None else [in_mm(end) for end in band]
        part["limited_by"][which] = limit_of(nominal, state.loads, state.inputs.fast.value)
    return part


def _leg_part(state: State, side: str, pick: Pick, front_stopped: bool) -> dict[str, Any]:
    inputs, case = state.inputs, state.case
    found = leg_volumes(inputs, case, side, "found", Change(), middle)
    drawn = leg_volumes(inputs, case, side, "found", Change(), pick)
    over, over_drawn = excess(inputs, case, side, middle), excess(inputs, case, side, pick)
    part: dict[str, Any] = {name: scaled(value, _UNIT[name], 2 if name == "compression_ratio" else 1)
                            for name, value in found.items()}
    part["excess_oil_ml"] = in_ml(over)
    for which in ("book", "advised"):
        hidden = front_stopped and which == "advised"
        values = dict.fromkeys(_UNIT) if hidden else leg_volumes(inputs, case, side, which, state.change, middle)
        part[which] = {name: scaled(value, _UNIT[name], 2 if name == "compression_ratio" else 1)
                       for name, value in values.items()}
    spreads = {name: spread_of(value) for name, value in drawn.items()} | {"excess_oil_ml": spread_of(over_drawn)}
    part["spread"] = {name: scaled(value, _UNIT.get(name, ML), 2) for name, value in spreads.items()
                      if part[name] is not None}
    return part
