"""The sliders of a tuner's trial: where each starts, how far it goes, and where it goes back to."""
from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from analysis.catalogue import SIDES
from reports.tried import CONDITIONS, FIELDS, Field

AROUND_MM = 60.0
REACH = {"turns": (-8.0, 8.0), "rider_kg": (40.0, 160.0), "load_kg": (0.0, 200.0), "altitude_m": (0.0, 3500.0),
         "oil_c": (-10.0, 100.0), "slow": (1.0, 1.4), "fast": (1.0, 1.4)}


@dataclass(frozen=True)
class Slider:
    """One number with its slider, its reach, and the values that it goes back to."""

    field: Field
    value: str
    low: float
    high: float
    found: str
    advised: str

    @property
    def backs(self) -> list[tuple[str, str]]:
        """What its undo buttons say and set; one where both would set the same."""
        if self.field.name in CONDITIONS:
            return [("as told", self.found)] if self.found else []
        both = [("as found", self.found), ("as advised", self.advised)]
        return [(words, value) for words, value in both if value]


def panel(start: Mapping[str, Any], typed: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the sliders in their groups; ``typed`` stands in its fields, whatever it was."""
    typed = typed or {}
    sliders = {slider.field.name: slider for slider in _sliders(start, typed)}
    legs_alike = all(
        (start.get(which) or {}).get("level_left_mm") == (start.get(which) or {}).get("level_right_mm")
        for which in ("found", "engines"))
    return {
        "levels": [sliders[name] for side in SIDES if (name := f"level_{side}_mm") in sliders],
        "amounts": [sliders[name] for side in SIDES if (name := f"draw_off_{side}_ml") in sliders],
        "settings": [sliders[name] for name in ("turns", "rate_n_per_mm") if name in sliders],
        "conditions": [sliders[name] for name in CONDITIONS],
        "oil_as": typed.get("oil_as", "level"), "together": bool(typed.get("together")) if typed else legs_alike,
        "reason": typed.get("reason", "")}


def _sliders(start: Mapping[str, Any], typed: Mapping[str, str]) -> Iterator[Slider]:
    found, engines, now = (start.get(name) or {} for name in ("found", "engines", "chosen"))
    for field in FIELDS.values():
        if field.name in CONDITIONS:
            was = (start.get("conditions") or {}).get(field.name)
            yield _slider(field, typed, was, was, was, REACH[field.name])
            continue
        known = [value for which in (found, engines, now) if (value := which.get(field.name)) is not None]
        if known or field.name.startswith("level") and start.get("book"):
            yield _slider(field, typed, now.get(field.name), found.get(field.name), engines.get(field.name),
                          _reach(field, known))


def _reach(field: Field, known: list[float]) -> tuple[float, float]:
    if field.name in REACH:
        return REACH[field.name]
    if not known:
        return field.low, field.high
    by = 0.5 * max(known) if field.unit == "N/mm" else AROUND_MM
    low, high = max(field.low, min(known) - by), min(field.high, max(known) + by)
    return float(round(low)), float(round(high))


def _slider(field: Field, typed: Mapping[str, str], now: float | None, found: float | None, engines: float | None,
            reach: tuple[float, float]) -> Slider:
    value = typed[field.name] if field.name in typed else _figure(now)
    return Slider(field, value, *reach, _figure(found), _figure(engines))


def _figure(value: float | None) -> str:
    return "" if value is None else f"{round(value, 2) + 0.0:g}"
