"""Bars drawn by us: the causes with their odds, and how sure the hidden numbers are."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from xml.etree import ElementTree as ET

from reports.drawing import canvas, line, rect, write, written
from reports.phrases import likely_causes, percent, quantity
from reports.tongue import tell

WIDTH = 400.0
ROW = 50.0
LEFT, RIGHT = 6.0, 280.0
"""Where bars begin, and where the longest ends; the rest is for the number."""
THICK = 16.0


def causes_svg(findings: Mapping[str, Any], title: str, told: str) -> str:
    """Draw the causes as bars, the likeliest on top and strongest."""
    rows = likely_causes(findings)
    svg = canvas("figure figure-causes", title, told, WIDTH, ROW * len(rows) + 6)
    for place, cause in enumerate(rows):
        y = place * ROW
        write(svg, cause["title"], LEFT, y + 17, "start", 14, bold=place == 0)
        rect(svg, LEFT, y + 25, RIGHT - LEFT, THICK, opacity="0.1")
        rect(svg, LEFT, y + 25, (RIGHT - LEFT) * cause["probability"], THICK, opacity="1" if place == 0 else "0.5")
        write(svg, percent(cause["probability"]), RIGHT + 10, y + 38, "start", 14, bold=place == 0)
    return written(svg)


def ranges_svg(findings: Mapping[str, Any], title: str, told: str) -> str:
    """Draw where the hidden numbers lie: each bar holds nine chances in ten, its dot is the middle.

    Bars of one unit share a scale; the upright line is nought.
    """
    rows = list(findings["hidden"])
    svg = canvas("figure figure-ranges", title, told, WIDTH, ROW * len(rows) + 6)
    for place, row in enumerate(rows):
        _range(svg, row, place * ROW, _scale([other for other in rows if other["unit"] == row["unit"]]))
    return written(svg)


def _scale(rows: Sequence[Mapping[str, Any]]) -> tuple[float, float]:
    low, high = min(0.0, *(row["low"] for row in rows)), max(0.0, *(row["high"] for row in rows))
    return low, high if high > low else low + 1.0


def _range(svg: ET.Element, row: Mapping[str, Any], y: float, scale: tuple[float, float]) -> None:
    def x(value: float) -> float:
        return LEFT + 8 + (RIGHT - LEFT - 16) * (value - scale[0]) / (scale[1] - scale[0])

    middle = y + 25 + THICK / 2
    name = tell(row["name"])
    write(svg, name[:1].upper() + name[1:], LEFT, y + 17, "start", 14)
    line(svg, LEFT, middle, RIGHT, middle, 1, opacity="0.35")
    line(svg, x(0), middle - 8, x(0), middle + 8, 1.5, opacity="0.7")
    rect(svg, x(row["low"]), y + 27, max(x(row["high"]) - x(row["low"]), 2), THICK - 4, opacity="0.35")
    ET.SubElement(svg, "circle", {"cx": f"{x(row['middle']):.1f}", "cy": f"{middle:.1f}", "r": "5.5"})
    write(svg, quantity(row["middle"], row["unit"], None if row["unit"] else 2), RIGHT + 10, y + 39, "start", 15)
