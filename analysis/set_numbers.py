"""The numbers that a tuner can set, as found, as the engine advises them and as chosen, in the trade's units."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from analysis.catalogue import SIDES
from analysis.estimates import MM
from analysis.fork_part import in_ml, in_mm
from analysis.leg_parts import middle
from analysis.setups import Change, gas_area, seal_area, set_air
from analysis.state import State
from analysis.warmth import ROOM_TEMPERATURE

NUMBERS = ("level_left_mm", "level_right_mm", "turns", "rate_n_per_mm")


def set_numbers(state: State) -> dict[str, Any]:
    """Return ``found``, ``engines`` and ``chosen`` numbers, and what each level means in ml and in air to spare.

    ``draw_off_*_ml`` is the oil that takes a leg from where it is found to the level chosen, negative where oil is
    added; ``spare_*_mm`` the air left at full stroke as a length of the sliding tube.
    """
    sets = {"found": ("found", Change()), "engines": ("advised", state.engines), "chosen": ("advised", state.change)}
    return {name: _of_set(state, which, change) for name, (which, change) in sets.items()} | {
        "turns_in": {side: state.inputs.leg(side).turns_in for side in SIDES},
        "turns_range": {side: state.inputs.leg(side).turns_range for side in SIDES},
        "book": {f"level_{side}_mm": None if (level := state.inputs.leg(side).level_book) is None
                 else in_mm(level.value) for side in SIDES},
        "ml_per_mm": {side: round(float(gas_area(state.inputs.leg(side), middle)) * 1e3, 4) for side in SIDES},
        "pitch_mm": in_mm(state.inputs.sprung_leg.pitch.value), "conditions": _conditions(state)}


def _conditions(state: State) -> dict[str, float]:
    """Under what the sets are looked at, as the answers have it or as was assumed."""
    case, inputs = state.case, state.inputs
    height, cold = case.number("use.altitude_m"), case.number("use.temperature_c")
    closed = case.number("use.closed_altitude_m")
    height = (closed or 0.0) if height is None else height
    return {"rider_kg": round(inputs.rider_mass.value, 1), "load_kg": round(inputs.load_mass, 1),
            "altitude_m": round(height), "closed_altitude_m": round(height if closed is None else closed),
            "oil_c": round((ROOM_TEMPERATURE if cold is None else cold) - 273.15, 1),
            "slow": round(inputs.slow.value, 2), "fast": round(inputs.fast.value, 2)}


def _of_set(state: State, which: str, change: Change) -> dict[str, float | None]:
    leg = state.inputs.sprung_leg
    numbers: dict[str, float | None] = {}
    for side in SIDES:
        numbers |= _oil(state, side, which, change)
    turned = change.turned
    if turned is None:
        turned = 0.0 if change.preload is None else (change.preload - leg.preload.value) / leg.pitch.value
    rate = change.rate if change.rate is not None else leg.rate.value if leg.rate else None
    return numbers | {"turns": round(turned, 2) + 0.0,
                      "rate_n_per_mm": None if not rate else round(rate * MM, 2)}


def _oil(state: State, side: str, which: str, change: Change) -> Mapping[str, float | None]:
    inputs, leg = state.inputs, state.inputs.leg(side)
    air = set_air(inputs, state.case, side, which, change, middle)
    now = set_air(inputs, state.case, side, "found", Change(), middle)
    if air is None or leg.parts.air_extended is not None:
        return {f"level_{side}_mm": None, f"draw_off_{side}_ml": None, f"spare_{side}_mm": None}
    level = (float(air) + leg.steel.value + leg.cap.value) / float(gas_area(leg, middle))
    off = None if now is None else in_ml(float(air) - float(now))
    return {f"level_{side}_mm": in_mm(level), f"draw_off_{side}_ml": off,
            f"spare_{side}_mm": in_mm(float(air) / float(seal_area(leg, middle)))}
