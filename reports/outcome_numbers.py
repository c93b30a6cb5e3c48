"""Numbers that a draft foretells and somebody can measure: where they stand in the findings, and what they may be."""
from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from reports.phrases import at

Findings = Mapping[str, Any]


@dataclass(frozen=True)
class Foretold:
    """One number: its name in the rows, its words, its unit, the bounds of what can be typed, and the draft's own."""

    name: str
    title: str
    unit: str
    low: float
    high: float
    read: Callable[[Findings], float | None]


def _of_legs(pick: Callable[..., float], *path: str) -> Callable[[Findings], float | None]:
    def read(findings: Findings) -> float | None:
        group, *rest = path
        found = [value for side in ("left", "right") if (value := at(findings, group, side, *rest)) is not None]
        return pick(found) if found else None
    return read


NUMBERS = (
    Foretold("stroke_mm", "Stroke used after the work", "mm", 0, 400,
             lambda findings: at(findings, "fork", "usable_stroke_mm", "advised")),
    Foretold("sag_mm", "Rider sag after the work", "mm", 0, 250,
             lambda findings: at(findings, "fork", "rider_sag_mm", "advised")),
    Foretold("level_mm", "Oil level as it was found, fuller leg", "mm", 0, 500,
             _of_legs(min, "service", "level_now_mm")),
    Foretold("oil_ml", "Oil too much, fuller leg (below 0: too little)", "ml", -1000, 1000,
             _of_legs(max, "fork", "excess_oil_ml")),
)


def foretold(findings: Findings) -> dict[str, float]:
    """Return the numbers that the draft has, by name."""
    return {one.name: round(value, 1) for one in NUMBERS if isinstance(value := one.read(findings), int | float)}
