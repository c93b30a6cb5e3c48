"""The stroke ruler: one upright scale of the leg's stroke, extended at the top, bottom-out at the foot.

What was found stands on the left of the scale, what is advised on the right, each mark at its height.  The drawing
has classes and presentation attributes only (a strict content policy blocks style attributes) and takes its ink from
``currentColor``; the class ``stop-ink`` carries the one strong colour.  It never stands alone: ``ruler_words`` is its
table.
"""
from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal
from xml.etree import ElementTree as ET

from reports.drawing import box, canvas, line, rect, stop_group, write, written
from reports.phrases import quantity, sentence
from reports.tongue import inside, tell

WALLS = ("air runs out", "coils touch")
"""Marks below which nothing can move."""
REACH = "hard braking reaches"
"""The mark down to which a column is filled: the stroke that can be used."""

NAME_WIDTH = 16
"""Letters of a mark's name on one line of its label."""
LINE = 16

Marks = Mapping[str, Any]


@dataclass(frozen=True)
class Frame:
    """Where things stand in one variant of the drawing, in its own units."""

    width: float
    height: float
    top: float
    foot: float
    left: float
    right: float
    column: float
    label: float
    row: float


LARGE = Frame(width=420, height=560, top=58, foot=516, left=158, right=238, column=24, label=17, row=40)
SMALL = Frame(width=56, height=84, top=5, foot=79, left=6, right=34, column=16, label=0, row=0)


@dataclass(frozen=True)
class Mark:
    """One thing marked: its name, its place along the stroke, and whether a person measured it."""

    name: str
    at_mm: float
    measured: bool = False

    @property
    def wall(self) -> bool:
        return self.name in WALLS and not self.measured


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move sorted label heights apart to at least ``gap``, each as near to its ``wanted`` place as the room allows.

    All stay from ``low`` to ``high`` where the room holds them; the caller makes the room.
    """
    placed: list[float] = []
    for height in wanted:
        placed.append(max(height, placed[-1] + gap if placed else low))
    limit = max(high, low + gap * (len(placed) - 1))
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = min(placed[index], limit)
        limit = placed[index] - gap
    return placed


def marks_of(marks: Marks | None, side: Literal["found", "advised"]) -> list[Mark]:
    """Return the marks of one side from the top down; measured ones stand on the found side."""
    marks = marks or {}
    own = [Mark(m["name"], float(m["at_mm"])) for m in marks.get(side) or () if m.get("at_mm") is not None]
    if side == "found":
        own += [Mark(m["name"].removesuffix(" measured"), float(m["at_mm"]), measured=True)
                for m in marks.get("measured") or () if m.get("at_mm") is not None]
    return sorted(own, key=lambda mark: mark.at_mm)


def ruler_words(marks: Marks | None) -> list[list[str]]:
    """Return the ruler as a table: label and value, top of the scale first."""
    rows = [[tell("Full stroke"), quantity((marks or {}).get("stroke_mm"), "mm")]]
    rows += [[tell("Measured: {mark}" if mark.measured else "Found: {mark}", mark=tell(mark.name)),
              quantity(mark.at_mm, "mm")] for mark in marks_of(marks, "found")]
    rows += [[tell("Advised: {mark}", mark=tell(mark.name)), quantity(mark.at_mm, "mm")]
             for mark in marks_of(marks, "advised")]
    return rows


def stroke_ruler_svg(marks: Marks | None, size: Literal["small", "large"] = "large", right: str = "As advised") -> str:
    """Return the ruler as an inline SVG: ``small`` for a queue row, without lettering; ``right`` heads that column."""
    stroke = (marks or {}).get("stroke_mm") or None
    frame = _roomy(LARGE, marks) if size == "large" else SMALL
    svg = _root(frame, marks, size)
    for side in ("found", "advised"):
        _column(svg, frame, side, marks_of(marks, side) if stroke else [], stroke or 1.0)
    _scale(svg, frame, stroke)
    if size == "large":
        _lettering(svg, frame, marks, stroke, right)
    return written(svg)


@dataclass(frozen=True)
class Label:
    """What is written at one mark: its value, and a few short lines below it."""

    mark: Mark
    lines: list[str]


def _labels_of(marks: Sequence[Mark]) -> list[Label]:
    """Return the labels of one side; a measured value stands below the computed one of the same name."""
    computed = {mark.name for mark in marks if not mark.measured}
    measured = {mark.name: mark for mark in marks if mark.measured}
    labels = []
    for mark in marks:
        if mark.measured and mark.name in computed:
            continue
        told = tell("{name}, measured", name=tell(mark.name)) if mark.measured else tell(mark.name)
        also = measured.get(mark.name) if not mark.measured else None
        extra = [tell("measured {length}", length=quantity(also.at_mm, "mm"))] if also else []
        labels.append(Label(mark, (textwrap.wrap(told, NAME_WIDTH) or [""]) + extra))
    return labels


def _roomy(frame: Frame, marks: Marks | None) -> Frame:
    """Return the frame with rows as high as the longest label needs, and tall enough for the fuller side's labels."""
    sides = [_labels_of(marks_of(marks, side)) for side in ("found", "advised")]
    row = frame.row + LINE * (max((len(label.lines) for side in sides for label in side), default=1) - 1)
    more = max(0.0, max(len(side) for side in sides) * row - (frame.foot - frame.top))
    return replace(frame, row=row, height=frame.height + more, foot=frame.foot + more)


def _root(frame: Frame, marks: Marks | None, size: str) -> ET.Element:
    told = " ".join(sentence(f"{label} {value}") for label, value in ruler_words(marks))
    svg = canvas(f"ruler ruler-{size}", tell("Stroke ruler"), told, frame.width, frame.height)
    if size == "small":
        svg.attrib |= {"width": f"{frame.width:g}", "height": f"{frame.height:g}"}
    return svg


def _height(frame: Frame, at_mm: float, stroke: float) -> float:
    """Return where ``at_mm`` lies, held inside the scale: a reading past the end is drawn at the end."""
    return frame.top + (frame.foot - frame.top) * min(max(at_mm / stroke, 0.0), 1.0)


def _column(svg: ET.Element, frame: Frame, side: str, marks: list[Mark], stroke: float) -> None:
    x = frame.left if side == "found" else frame.right
    group = ET.SubElement(svg, "g", {"class": f"ruler-{side}"})
    reach = next((mark for mark in marks if mark.name == REACH), None)
    if reach:
        rect(group, x, frame.top, frame.column, _height(frame, reach.at_mm, stroke) - frame.top, opacity="0.22")
    wall = next((mark for mark in marks if mark.wall and mark.at_mm < stroke), None)
    if wall:
        _hatch(group, frame, x, _height(frame, wall.at_mm, stroke))
    ET.SubElement(group, "rect", box(x, frame.top, frame.column, frame.foot - frame.top) | {
        "fill": "none", "stroke": "currentColor", "stroke-width": "1.5",
        **({} if marks else {"stroke-dasharray": "3 3", "opacity": "0.6"})})
    for mark in marks:
        _mark(group, frame, x, _height(frame, mark.at_mm, stroke), mark)


def _hatch(parent: ET.Element, frame: Frame, x: float, y: float) -> None:
    """Draw what cannot be reached: slanted lines from ``y`` to the foot, cut at the column's edges."""
    group = stop_group(parent)
    rect(group, x, y, frame.column, frame.foot - y, opacity="0.14")
    step = frame.column / 3
    start = y
    while start < frame.foot + frame.column:
        high, low = max(start - frame.column, y), min(start, frame.foot)
        if low > high:
            line(group, x + (start - low), low, x + (start - high), high, 1.2)
        start += step


def _mark(parent: ET.Element, frame: Frame, x: float, y: float, mark: Mark) -> None:
    """Draw one mark: a bar for a computed one (heavy where it ends the stroke), a ring for a measured one."""
    if mark.measured:
        radius = frame.column / 3.4
        ET.SubElement(parent, "circle", {
            "class": "ruler-measured", "cx": f"{x + frame.column / 2:.1f}", "cy": f"{y:.1f}", "r": f"{radius:.1f}",
            "fill": "none", "stroke": "currentColor", "stroke-width": "2.4"})
        return
    over = frame.column / 6
    heavy = mark.wall or mark.name == REACH
    line(stop_group(parent) if mark.wall else parent, x - over, y, x + frame.column + over, y,
          4 if heavy and frame is not SMALL else 3 if heavy else 1.6)


def _scale(svg: ET.Element, frame: Frame, stroke: float | None) -> None:
    """Draw the scale between the columns: a tick every 10 mm, a number every 20; four parts where room is short."""
    middle = (frame.left + frame.column + frame.right) / 2
    group = ET.SubElement(svg, "g", {"class": "ruler-scale", "opacity": "0.75"})
    if frame is SMALL or not stroke:
        for part in range(5):
            y = frame.top + (frame.foot - frame.top) * part / 4
            line(group, middle - 2.5, y, middle + 2.5, y, 1)
        return
    step = 10 if stroke <= 200 else 20
    for at_mm in range(0, int(stroke) + 1, step):
        y = _height(frame, at_mm, stroke)
        if at_mm % (2 * step):
            line(group, middle - 5, y, middle + 5, y, 1)
        else:
            write(group, str(at_mm), middle, y + 4, "middle", 13)


def _lettering(svg: ET.Element, frame: Frame, marks: Marks | None, stroke: float | None, right: str) -> None:
    middle = (frame.left + frame.column + frame.right) / 2
    # Each title begins or ends at the gap between the columns, so that no two long words run into each other.
    write(svg, inside("As found"), frame.left + frame.column, 22, "end", 17, bold=True)
    write(svg, inside(right), frame.right, 22, "start", 17, bold=True)
    for side, x in (("found", frame.left), ("advised", frame.right)):
        own = marks_of(marks, side) if stroke else []
        _write_labels(svg, frame, side, own, stroke or 1.0)
        if not own:
            outside, anchor = (frame.left - 14, "end") if side == "found" else (x + frame.column + 14, "start")
            write(svg, tell("not known yet"), outside, (frame.top + frame.foot) / 2, anchor, 14)
    write(svg, tell("extended"), middle, 45, "middle", 14)
    foot = tell("bottom-out {stroke}", stroke=quantity(stroke, "mm")) if stroke else tell("bottom-out")
    write(svg, foot, middle, frame.foot + 28, "middle", 14)


def _write_labels(svg: ET.Element, frame: Frame, side: str, marks: Sequence[Mark], stroke: float) -> None:
    """Write each label outside its column, with a line leading to its mark's height."""
    labels = _labels_of(marks)
    heights = [_height(frame, label.mark.at_mm, stroke) for label in labels]
    # The lowest label ends at the foot: below it the scale has words of its own.
    places = spread(heights, frame.row, frame.top, frame.foot - frame.row + frame.label)
    outward = -1 if side == "found" else 1
    edge = frame.left if side == "found" else frame.right + frame.column
    for label, height, place in zip(labels, heights, places, strict=True):
        group = stop_group(svg) if label.mark.wall else ET.SubElement(svg, "g", {"class": "ruler-label"})
        line(group, edge + outward * 5, height, edge + outward * 15, place, 1, opacity="0.7")
        _write_label(group, frame, label, edge + outward * 19, place, "end" if outward < 0 else "start")


def _write_label(group: ET.Element, frame: Frame, label: Label, x: float, y: float, anchor: str) -> None:
    write(group, quantity(label.mark.at_mm, "mm"), x, y + 2, anchor, frame.label, bold=True)
    for number, words in enumerate(label.lines, start=1):
        write(group, words, x, y + 2 + LINE * number, anchor, 14)
