"""Pieces of the drawings that we build ourselves, as SVG elements for a page with a strict content policy.

Classes and presentation attributes only; the ink is the page's (``currentColor``), and the class ``stop-ink`` carries
the one strong colour.
"""
from __future__ import annotations

from xml.etree import ElementTree as ET

STOP_INK = "#b4160a"
"""Printed colour of ``stop-ink``; a page's own ``.stop-ink`` rule outranks it."""


def canvas(classes: str, title: str, told: str, width: float, height: float) -> ET.Element:
    """Return the root of a drawing that has a name and says in words what it shows."""
    svg = ET.Element("svg", {
        "xmlns": "http://www.w3.org/2000/svg", "class": classes, "fill": "currentColor", "role": "img",
        "aria-label": f"{title}. {told}", "viewBox": f"0 0 {width:g} {height:g}",
        "font-family": "DejaVu Sans, sans-serif"})
    ET.SubElement(svg, "title").text = title
    ET.SubElement(svg, "desc").text = told
    return svg


def written(svg: ET.Element) -> str:
    """Return the drawing as text."""
    return ET.tostring(svg, encoding="unicode")


def box(x: float, y: float, width: float, height: float) -> dict[str, str]:
    """Return a rectangle's attributes; one of negative height is flat."""
    return {"x": f"{x:.1f}", "y": f"{y:.1f}", "width": f"{width:.1f}", "height": f"{max(height, 0):.1f}"}


def rect(parent: ET.Element, x: float, y: float, width: float, height: float, **more: str) -> None:
    """Draw a filled rectangle."""
    ET.SubElement(parent, "rect", box(x, y, width, height) | more)


def line(parent: ET.Element, x1: float, y1: float, x2: float, y2: float, width: float, **more: str) -> None:
    """Draw a line of ``width``."""
    ET.SubElement(parent, "line", {
        "x1": f"{x1:.1f}", "y1": f"{y1:.1f}", "x2": f"{x2:.1f}", "y2": f"{y2:.1f}", "stroke": "currentColor",
        "stroke-width": f"{width:g}", **more})


def write(parent: ET.Element, words: str, x: float, y: float, anchor: str, size: float, bold: bool = False) -> None:
    """Set ``words`` at their baseline; ``anchor`` is start, middle or end."""
    weight = {"font-weight": "bold"} if bold else {}
    ET.SubElement(parent, "text", {
        "x": f"{x:.1f}", "y": f"{y:.1f}", "text-anchor": anchor, "font-size": f"{size:g}", **weight}).text = words


def stop_group(parent: ET.Element) -> ET.Element:
    """Open a group in the colour that means stop."""
    return ET.SubElement(parent, "g", {"class": "stop-ink", "color": STOP_INK, "fill": "currentColor"})
