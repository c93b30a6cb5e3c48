"""What a trial of other numbers shows: curves, ruler, the main numbers in words, and what speaks against them."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from analysis.catalogue import SIDES
from reports import phrases
from reports.objection_words import in_sentences
from reports.phrases import at
from reports.ruler import stroke_ruler_svg
from reports.try_figure import ROOM, curves_svg

ROWS = (("usable_stroke_mm", "Usable stroke, braking hard"), ("free_sag_mm", "Free sag"),
        ("rider_sag_mm", "Rider sag"), ("coil_bind_stroke_mm", "Coils touch at"))
SETS = {"found": "found", "chosen": "advised"}
"""The trial's names for the engine's sets."""
TITLE = "Force against stroke: as found, and with these numbers"


def shown(result: Mapping[str, Any], engines: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return a trial's answer for the page: everything in words or ready to be drawn.

    ``engines``: the curve with the engine's own numbers, where it is known, to compare with.
    """
    plot, rows = plot_of(result, engines), rows_of(result)
    told = " ".join(f"{title}: found {found}, with these numbers {chosen}." for title, found, chosen in rows)
    return {
        "plot": plot, "figure": curves_svg(plot, TITLE, told) if plot else "", "rows": rows,
        "ruler": stroke_ruler_svg(result["marks"], right="With these"), "numbers": result.get("numbers") or {},
        "against": in_sentences(result.get("objections") or ()), "oil": oil_words(result.get("numbers") or {})}


def plot_of(result: Mapping[str, Any], engines: Mapping[str, Any] | None = None) -> dict[str, Any] | None:
    """Return strokes and forces of the sets that are known, where legs lock, and how high the scale goes."""
    curves = {curve["name"]: curve for curve in result.get("curves") or ()}
    drawn = {name: curves[which] for name, which in SETS.items() if which in curves}
    if not drawn:
        return None
    if engines is not None and "chosen" in drawn:
        drawn = {"found": drawn.get("found"), "engines": engines, "chosen": drawn["chosen"]}
    load = at(result, "fork", "brake_load_n", "found")
    first = next(curve for curve in drawn.values() if curve)
    known = [force for curve in drawn.values() if curve for force in curve["force_n"] if force is not None]
    return {
        "stroke_mm": first["stroke_mm"], "forces": {name: curve["force_n"] for name, curve in drawn.items() if curve},
        "locks": [{"set": name, "at_mm": lock} for name in SETS if (lock := _lock(result, name)) is not None],
        "brake_n": load, "top_n": round(ROOM * load if load else max(known), -1)}


def _lock(result: Mapping[str, Any], name: str) -> float | None:
    legs = [at(result, "fork", side) for side in SIDES]
    found = [at(leg, "lock_stroke_mm") if name == "found" else at(leg, "advised", "lock_stroke_mm") for leg in legs]
    return min((lock for lock in found if lock is not None), default=None)


def rows_of(result: Mapping[str, Any]) -> list[tuple[str, str, str]]:
    """Return the main numbers: a title, as found, with these numbers."""
    fork = result.get("fork") or {}
    rows = [(title, *(_with_band(fork, key, which) for which in SETS.values())) for key, title in ROWS
            if any(at(fork, key, which) is not None for which in SETS.values())]
    rows.insert(1, ("What ends it", *(phrases.limit_words(at(fork, "limited_by", which)) for which in SETS.values())))
    rows.insert(2, ("Solid with oil at", *(_mm(lock) if (lock := _lock(result, name)) is not None else "nowhere"
                                           for name in SETS)))
    numbers = result.get("numbers") or {}
    rows += _leg_by_leg("Air squeezed, times", [[_squeezed(fork.get(side) or {}, name) for name in SETS]
                                                for side in SIDES])
    rows += _leg_by_leg("Air to spare at full stroke", [[_mm(at(numbers, name, f"spare_{side}_mm")) for name in SETS]
                                                        for side in SIDES])
    return [tuple(str(cell) for cell in row) for row in rows]


def _leg_by_leg(title: str, legs: list[list[str]]) -> list[tuple[str, str, str]]:
    """Return a row for each leg; one for both where they are alike."""
    if all(leg == legs[0] for leg in legs):
        return [(f"{title}, each leg", *legs[0])]
    return [(f"{title}, {side} leg", *leg) for side, leg in zip(SIDES, legs, strict=True)]


def _squeezed(leg: Mapping[str, Any], name: str) -> str:
    of_set = leg if name == "found" else leg.get(SETS[name]) or {}
    left = of_set.get("air_volume_compressed_ml")
    return "no air left" if left is not None and left <= 0 else phrases.number(of_set.get("compression_ratio"), 2)


def oil_words(numbers: Mapping[str, Any]) -> list[str]:
    """Return for each leg what these numbers mean for its oil."""
    said = []
    for side in SIDES:
        level = at(numbers, "chosen", f"level_{side}_mm")
        off = at(numbers, "chosen", f"draw_off_{side}_ml")
        if level is None:
            continue
        how = "" if off is None else (": nothing to do" if abs(off) < 1 else
                                      f": draw off {_ml(off)}" if off > 0 else f": add {_ml(-off)}")
        said.append(f"{side.capitalize()} leg to {phrases.quantity(level, 'mm', 1)}{how}.")
    return said


def _with_band(fork: Mapping[str, Any], key: str, which: str) -> str:
    """Return a figure with the ends that nine in ten of the drawn forks lie between."""
    ends = at(fork, "spread", key, which)
    words = _mm(at(fork, key, which))
    return f"{words} ({phrases.span(*ends, 'mm')})" if ends and None not in ends else words


def _mm(value: Any) -> str:
    return phrases.quantity(value, "mm", 1)


def _ml(value: float) -> str:
    return phrases.quantity(value, "ml")
