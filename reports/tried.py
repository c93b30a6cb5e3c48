"""Other numbers that a tuner tries: what was typed, read; and what the engine makes of it.  Nothing is saved."""
from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from analysis.case import CaseFaults
from analysis.catalogue import SIDES
from analysis.chosen import read_chosen
from analysis.set_numbers import NUMBERS
from analysis.what_if import USUAL, Conditions, what_if
from intake.errors import Refused

ZERO_C = 273.15


@dataclass(frozen=True)
class Field:
    """One number that can be tried: how far it may go and how fine a step is worth making."""

    name: str
    title: str
    unit: str
    low: float
    high: float
    step: float
    same: float = 0.0
    """Nearer than this to where it started it counts as not moved: a slider has steps."""


FIELDS = {one.name: one for one in (
    Field("level_left_mm", "Oil level, left leg", "mm", 10, 400, 1, 0.5),
    Field("level_right_mm", "Oil level, right leg", "mm", 10, 400, 1, 0.5),
    Field("draw_off_left_ml", "Draw off, left leg (less than 0: add)", "ml", -400, 600, 1, 0.5),
    Field("draw_off_right_ml", "Draw off, right leg (less than 0: add)", "ml", -400, 600, 1, 0.5),
    Field("turns", "Preload, turns from where it is now (in: more than 0)", "turns", -15, 15, 0.25, 0.12),
    Field("rate_n_per_mm", "Spring rate, each leg", "N/mm", 1, 30, 0.1, 0.05),
    Field("rider_kg", "Rider, dressed to ride", "kg", 30, 200, 1, 0.5),
    Field("load_kg", "Passenger and luggage", "kg", 0, 250, 1, 0.5),
    Field("altitude_m", "Height above the sea", "m", -300, 4500, 50, 1),
    Field("oil_c", "Oil temperature", "°C", -20, 120, 1),
    Field("slow", "Air exponent, slow (sag)", "", 1, 1.4, 0.01),
    Field("fast", "Air exponent, riding", "", 1, 1.4, 0.01),
)}
CONDITIONS = ("rider_kg", "load_kg", "altitude_m", "oil_c", "slow", "fast")
OIL_AS = ("level", "amount")


@dataclass(frozen=True)
class Tried:
    """What a tuner tries: ``chosen`` for ``analysis.chosen``, changed answers, and conditions."""

    chosen: dict[str, float] = field(default_factory=dict)
    changes: dict[str, Any] = field(default_factory=dict)
    conditions: Conditions = USUAL

    @property
    def conditions_moved(self) -> bool:
        """Whether it is looked at under other conditions than the answers have."""
        return bool(self.changes) or self.conditions != USUAL


def read_tried(typed: Mapping[str, str], start: Mapping[str, Any]) -> Tried:
    """Return what was typed as numbers; ``start`` says where the sliders began.  Raises ``Refused`` with a sentence."""
    numbers = {name: value for name in FIELDS if (value := _number(typed, name)) is not None}
    if typed.get("together") and start.get("found"):
        for name in ("level", "draw_off"):
            unit = "mm" if name == "level" else "ml"
            if f"{name}_left_{unit}" in numbers:
                numbers[f"{name}_right_{unit}"] = numbers[f"{name}_left_{unit}"]
    chosen = _levels(numbers, start, typed.get("oil_as", "level")) | {
        name: numbers[name] for name in ("turns", "rate_n_per_mm") if name in numbers}
    engines = start.get("engines") or {}
    moved = {name: value for name, value in chosen.items()
             if engines.get(name) is None or abs(value - engines[name]) > FIELDS[name].same}
    was = start.get("conditions") or {}
    moved_on = {name: numbers[name] for name in CONDITIONS if name in numbers
                and (was.get(name) is None or abs(numbers[name] - was[name]) > max(FIELDS[name].same, 1e-9))}
    return Tried(moved, _changes(moved_on, was), _conditions(moved_on))


def _levels(numbers: Mapping[str, float], start: Mapping[str, Any], oil_as: str) -> dict[str, float]:
    if oil_as not in OIL_AS:
        raise Refused("It is not said whether the oil is given as a level or as an amount.", "Pick one of the two.")
    if oil_as == "level":
        return {name: numbers[name] for side in SIDES if (name := f"level_{side}_mm") in numbers}
    found, levels = start.get("found") or {}, {}
    for side in SIDES:
        amount = numbers.get(f"draw_off_{side}_ml")
        if amount is None:
            continue
        now = found.get(f"level_{side}_mm")
        if now is None:
            raise Refused(f"Nobody knows how much oil is in the {side} leg now, so no amount can be drawn off it.",
                          "Give the level to set instead.")
        levels[f"level_{side}_mm"] = round(now + amount / start["ml_per_mm"][side], 2)
    return levels


def _number(typed: Mapping[str, str], name: str) -> float | None:
    words, one = typed.get(name, "").strip().replace(",", ".").replace("−", "-"), FIELDS[name]
    if not words:
        return None
    try:
        value = float(words)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise Refused(f"{one.title}: “{typed[name].strip()[:40]}” is not a number.",
                      f"Write a number such as {max(one.low, 1):g}, without the unit.")
    if not one.low <= value <= one.high:
        raise Refused(f"{one.title}: {value:g} {one.unit} is out of reach.".replace("  ", " "),
                      f"Give a number from {one.low:g} to {one.high:g}.")
    return value


def _changes(numbers: Mapping[str, float], was: Mapping[str, float]) -> dict[str, Any]:
    changes: dict[str, Any] = {}
    if "rider_kg" in numbers:
        changes["rider.mass_kg"] = {"value": numbers["rider_kg"], "known": "documented"}
    if "load_kg" in numbers:
        changes |= {"use.luggage_kg": numbers["load_kg"], "use.pillion_kg": None}
    if "altitude_m" in numbers:
        # Ridden elsewhere, and still closed where it was: otherwise nothing would change.
        changes |= {"use.altitude_m": numbers["altitude_m"],
                    "use.closed_altitude_m": was.get("closed_altitude_m", 0.0)}
    return changes


def _conditions(numbers: Mapping[str, float]) -> Conditions:
    oil = numbers.get("oil_c")
    return Conditions(numbers.get("slow"), numbers.get("fast"), None if oil is None else oil + ZERO_C)


def try_numbers(document: Mapping[str, Any], findings: Mapping[str, Any], chosen: Mapping[str, Any],
                changes: Mapping[str, Any] | None = None, conditions: Conditions = USUAL) -> dict[str, Any]:
    """Return what the engine makes of a tuner's numbers (``analysis.what_if``), for the cause that the draft names.

    A level that the full assessment had to work out from the other answers stands in for one that was not read.
    """
    verdict = findings.get("verdict") or {}
    cause = verdict.get("cause") if verdict.get("kind") == "cause" else None
    worked_out = {one["path"]: {"value": one["value"], "known": "guessed"} for one in findings.get("assumed") or ()
                  if one["path"].endswith(".oil_level_mm")}
    try:
        return what_if(document, {**worked_out, **(changes or {})}, cause,
                       read_chosen({name: chosen.get(name) for name in NUMBERS}), conditions)
    except CaseFaults as faults:
        first = faults.faults[0]
        raise Refused(f"{first.path}: {first.problem}.", first.mend) from faults
