"""The report's figures, each with its table in words.

A figure is ``{"name", "title", "svg", "words": [[label, value], …]}``.  One whose numbers are not known is left out:
an empty plot would look like an answer.
"""
from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from reports.bars import causes_svg, ranges_svg
from reports.phrases import (
    SET_TITLES,
    SETS,
    at,
    likely_causes,
    limit_words,
    odds,
    quantity,
    sentence,
    span,
    with_span,
)
from reports.plain_svg import page_svg
from reports.ruler import ruler_words, stroke_ruler_svg
from reports.tongue import in_language, tell

Findings = Mapping[str, Any]
Words = list[list[str]]
Draw = Callable[[Findings, str, str], str]
"""From findings, title and description to an SVG."""


def figures(findings: Findings) -> list[dict[str, Any]]:
    """Return all figures that ``findings`` has the numbers for, in the order of the report."""
    from matplotlib import rc_context  # here and not above: it takes a second, and the web process never draws

    from reports import plots

    findings = in_language(findings)
    with rc_context(plots.RC):
        made = [
            _figure(findings, "ruler", tell("Stroke ruler"), lambda *_: stroke_ruler_svg(findings["marks"]),
                    _ruler_words),
            _figure(findings, "force", tell("Force against stroke"), _plotted(plots.force), force_words),
            _figure(findings, "shares", tell("What carries the load"), _plotted(plots.shares), shares_words),
            _figure(findings, "pressure", tell("Air pressure in the legs"), _plotted(plots.pressure), pressure_words),
            _figure(findings, "causes", tell("Which story fits"), causes_svg, causes_words),
            _figure(findings, "ranges", tell("How sure the hidden numbers are"), ranges_svg, ranges_words),
        ]
    return [figure for figure in made if figure]


def _figure(findings: Findings, name: str, title: str, draw: Draw,
            words: Callable[[Findings], Words]) -> dict[str, Any] | None:
    table = words(findings)
    if not table:
        return None
    told = " ".join(sentence(f"{label}: {value}") for label, value in table)
    return {"name": name, "title": title, "svg": draw(findings, title, told), "words": table}


def _plotted(draw: Callable[[Findings], str]) -> Draw:
    """Return a plot's drawing made fit for a page."""
    return lambda findings, title, told: page_svg(draw(findings), draw.__name__, title, told)


def _ruler_words(findings: Findings) -> Words:
    marks = findings.get("marks")
    return ruler_words(marks) if at(marks, "stroke_mm") else []


def _curves(findings: Findings, key: str) -> dict[str, Mapping[str, Any]]:
    """Return the curves by name that have any number under ``key``."""
    return {curve["name"]: curve for curve in findings.get("curves") or ()
            if curve.get("stroke_mm") and any(value is not None for value in curve.get(key) or ())}


def force_words(findings: Findings) -> Words:
    """Return what the force figure shows, set by set."""
    known = _curves(findings, "force_n")
    rows: Words = []
    for name in (name for name in SETS if name in known):
        usable = at(findings, "fork", "usable_stroke_mm", name)
        ends = at(findings, "fork", "spread", "usable_stroke_mm", name)
        limit = at(findings, "fork", "limited_by", name)
        reach = with_span(usable, ends, "mm")
        rows += [
            [tell("{setup}: usable stroke", setup=SET_TITLES[name]),
             f"{reach}: {limit_words(limit)}" if limit else reach],
            [tell("{setup}: free sag", setup=SET_TITLES[name]),
             quantity(at(findings, "fork", "free_sag_mm", name), "mm")],
            [tell("{setup}: rider sag", setup=SET_TITLES[name]),
             quantity(at(findings, "fork", "rider_sag_mm", name), "mm")],
        ]
    rows += _lock_words(findings) if "found" in known else []
    load = at(findings, "fork", "brake_load_n", "found")
    return rows + [[tell("Hard braking loads the fork with"), quantity(load, "N")]] if rows and load else rows


def _lock_words(findings: Findings) -> Words:
    return [[tell("As found: air runs out, left leg" if side == "left" else "As found: air runs out, right leg"),
             quantity(lock, "mm")] for side in ("left", "right")
            if (lock := at(findings, "fork", side, "lock_stroke_mm")) is not None]


def shares_words(findings: Findings) -> Words:
    """Return spring and air force at a few strokes, found and advised."""
    rows: Words = []
    for name, curve in _curves(findings, "air_n").items():
        if name not in ("found", "advised") or not curve.get("spring_n"):
            continue
        for index in _stations(len(curve["stroke_mm"])):
            spring, air = curve["spring_n"][index], curve["air_n"][index]
            told = tell("spring {spring}, air {air}", spring=quantity(spring, "N"),
                        air=quantity(air, "N")) if air is not None else tell("locked")
            rows.append([tell("{setup}: at {stroke}", setup=SET_TITLES[name],
                              stroke=quantity(curve["stroke_mm"][index], "mm")), told])
    return rows


def _stations(length: int) -> list[int]:
    """Return the places of the quarters of a curve."""
    return sorted({round((length - 1) * quarter / 4) for quarter in range(1, 5)})


def pressure_words(findings: Findings) -> Words:
    """Return air volume, ratio and lock of each leg, set by set."""
    rows: Words = []
    for side in ("left", "right"):
        if not _curves(findings, f"pressure_bar_{side}"):
            continue
        for name in SETS:
            leg = at(findings, "fork", side) if name == "found" else at(findings, "fork", side, name)
            label = tell("{setup}, left leg" if side == "left" else "{setup}, right leg", setup=SET_TITLES[name])
            rows += _leg_words(leg, label) if isinstance(leg, Mapping) else []
    return rows


def _leg_words(leg: Mapping[str, Any], label: str) -> Words:
    air, lock, ratio = (leg.get(key) for key in ("air_volume_compressed_ml", "lock_stroke_mm", "compression_ratio"))
    if air is None:
        return []
    if lock is not None:
        return [[label, tell("the air runs out at {lock}; {air} too little room for the full stroke",
                             lock=quantity(lock, "mm"), air=quantity(-air, "ml"))]]
    if ratio is None:
        return [[label, tell("{air} of air left at full stroke", air=quantity(air, "ml"))]]
    return [[label, tell("{air} of air left at full stroke, squeezed {ratio} to 1", air=quantity(air, "ml"),
                         ratio=quantity(ratio, "", 1))]]


def causes_words(findings: Findings) -> Words:
    """Return the causes with their odds; those under 1 in 100 share a row."""
    shown = likely_causes(findings)
    rows = [[cause["title"], odds(cause["probability"])] for cause in shown]
    rest = len(findings.get("causes") or ()) - len(shown)
    return rows + ([[tell("Each of the others"), tell("less than 1 in 100")]] if rest else [])


def ranges_words(findings: Findings) -> Words:
    """Return the hidden numbers with their ranges."""
    return [[sentence(tell(row["name"]))[:-1], _range_words(row)] for row in findings.get("hidden") or ()]


def _range_words(row: Mapping[str, Any]) -> str:
    digits = None if row["unit"] else 2
    middle = quantity(row["middle"], row["unit"], digits)
    return tell("{middle} (nine in ten from {span})", middle=middle,
                span=span(row["low"], row["high"], row["unit"], digits))
