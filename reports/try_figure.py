"""The curves of a trial as one plain drawing: as found beside the tuner's numbers, red where a leg locks."""
from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from xml.etree import ElementTree as ET

from reports.drawing import canvas, line, stop_group, write, written
from reports.phrases import quantity

WIDTH, HEIGHT = 640.0, 360.0
LEFT, RIGHT, TOP, FOOT = 64.0, 14.0, 14.0, 44.0
DASHES = {"found": "", "engines": "2 5", "chosen": "10 5"}
WEIGHT = {"found": 2.0, "engines": 1.4, "chosen": 3.0}
BESIDE = 0.8
"""Up to this share of the width there is room for words on a line's right."""
ROOM = 1.6
"""So many times the load of hard braking fit on the scale."""


def curves_svg(plot: Mapping[str, Any], title: str, told: str) -> str:
    """Draw force against stroke for each set in ``plot`` (``try_result.plot_of``)."""
    svg = canvas("figure figure-try", title, told, WIDTH, HEIGHT)
    stroke, top = float(plot["stroke_mm"][-1]), float(plot["top_n"])
    _grid(svg, stroke, top)
    load = plot.get("brake_n")
    if load:
        line(svg, LEFT, _y(load, top), WIDTH - RIGHT, _y(load, top), 1, opacity="0.6")
        write(svg, f"hard braking {quantity(load, 'N')}", LEFT + 6, _y(load, top) - 5, "start", 13)
    for name, forces in plot["forces"].items():
        for piece in _pieces(plot["stroke_mm"], forces, stroke, top):
            ET.SubElement(svg, "polyline", {
                "points": " ".join(f"{x:.1f},{y:.1f}" for x, y in piece), "fill": "none", "stroke": "currentColor",
                "stroke-width": f"{WEIGHT[name]:g}", **({"stroke-dasharray": DASHES[name]} if DASHES[name] else {})})
    for lock in plot["locks"]:
        _lock(svg, lock, stroke)
    return written(svg)


def _grid(svg: ET.Element, stroke: float, top: float) -> None:
    line(svg, LEFT, HEIGHT - FOOT, WIDTH - RIGHT, HEIGHT - FOOT, 1)
    line(svg, LEFT, TOP, LEFT, HEIGHT - FOOT, 1)
    for at in range(0, int(stroke) + 1, 20):
        x = _x(at, stroke)
        line(svg, x, HEIGHT - FOOT, x, HEIGHT - FOOT + 5, 1)
        write(svg, str(at), x, HEIGHT - FOOT + 19, "middle", 13)
    write(svg, "stroke, mm", WIDTH - RIGHT, HEIGHT - 6, "end", 13)
    for part in range(1, 5):
        force = top * part / 4
        line(svg, LEFT - 5, _y(force, top), LEFT, _y(force, top), 1)
        write(svg, f"{force:.0f}", LEFT - 8, _y(force, top) + 4, "end", 13)
    write(svg, "N", LEFT - 8, TOP + 18, "end", 13)


def _lock(svg: ET.Element, lock: Mapping[str, Any], stroke: float) -> None:
    group, x = stop_group(svg), _x(lock["at_mm"], stroke)
    dash = {"stroke-dasharray": "8 4"} if lock["set"] == "chosen" else {}
    line(group, x, TOP, x, HEIGHT - FOOT, 3, **dash)
    beyond = x < BESIDE * WIDTH  # no curve goes past a lock, so the words stand clear there
    place, anchor = (x + 6, "start") if beyond else (x - 6, "end")
    write(group, f"solid at {quantity(lock['at_mm'], 'mm')}", place, TOP + 14, anchor, 13, bold=True)


def _pieces(strokes: Sequence[float], forces: Iterable[float | None], stroke: float, top: float,
            ) -> list[list[tuple[float, float]]]:
    """Cut a curve where it has no number and where it leaves the scale."""
    pieces: list[list[tuple[float, float]]] = [[]]
    for at, force in zip(strokes, forces, strict=True):
        if force is None or force > top:
            pieces.append([])
        else:
            pieces[-1].append((_x(at, stroke), _y(force, top)))
    return [piece for piece in pieces if len(piece) > 1]


def _x(at: float, stroke: float) -> float:
    return LEFT + (WIDTH - LEFT - RIGHT) * at / stroke


def _y(force: float, top: float) -> float:
    return HEIGHT - FOOT - (HEIGHT - FOOT - TOP) * min(max(force / top, 0.0), 1.0)
