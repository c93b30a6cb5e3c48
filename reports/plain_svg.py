"""A plotted SVG made fit for a page: no style rules, no stray ids, ink from the page, a name and a description.

A strict content policy blocks style elements and style attributes, so every declaration becomes a presentation
attribute.  Black becomes ``currentColor`` (the page's ink, light or dark) and ``STOP`` becomes the class ``stop-ink``.
"""
from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from xml.etree import ElementTree as ET

from reports.drawing import STOP_INK

INK, STOP = "#000000", "#ff0000"
"""What the plotting code draws with."""
SVG, XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
ET.register_namespace("", SVG)
ET.register_namespace("xlink", XLINK)

_FONT = re.compile(r"(?:(?P<style>italic|oblique)\s+)?(?:(?P<weight>bold|[1-9]00)\s+)?(?P<size>[\d.]+px)\s")
_TARGET = re.compile(r"url\(#([^)]+)\)|^#(.+)$")


def page_svg(drawn: str, name: str, title: str, description: str) -> str:
    """Return the SVG text ``drawn`` as an element for a page, with ids that no other figure on the page has."""
    root = ET.fromstring(drawn)
    _drop(root, "metadata", "style")
    for element in root.iter():
        _declare(element)
    _rename_ids(root, f"{name}-{hashlib.sha256(drawn.encode()).hexdigest()[:8]}-")
    for size in ("width", "height", "version"):
        root.attrib.pop(size, None)
    root.attrib.update({
        "class": f"figure figure-{name}", "role": "img", "aria-label": f"{title}. {description}",
        "font-family": "DejaVu Sans, sans-serif", "stroke-linejoin": "round", "stroke-linecap": "butt",
        "fill": "currentColor",
    })
    for place, (tag, text) in enumerate((("title", title), ("desc", description))):
        told = ET.Element(f"{{{SVG}}}{tag}")
        told.text = text
        root.insert(place, told)
    return ET.tostring(root, encoding="unicode")


def _drop(root: ET.Element, *tags: str) -> None:
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in {f"{{{SVG}}}{tag}" for tag in tags}:
                parent.remove(child)


def _declare(element: ET.Element) -> None:
    """Turn the element's style declarations into attributes, and its colours into the page's."""
    declared = dict(_declarations(element.attrib.pop("style", "")))
    font = _FONT.match(declared.pop("font", ""))
    if font:
        declared |= {f"font-{part}": value for part, value in font.groupdict().items() if value}
    element.attrib.update(declared)
    element.attrib.pop("font-family", None)
    for paint in ("fill", "stroke"):
        colour = element.get(paint, "").lower()
        if colour in (INK, STOP):
            element.set(paint, "currentColor")
        if colour == STOP:
            element.attrib.update({"class": "stop-ink", "color": STOP_INK})


def _declarations(style: str) -> Iterator[tuple[str, str]]:
    for part in style.split(";"):
        name, colon, value = part.partition(":")
        if colon:
            yield name.strip(), value.strip()


def _rename_ids(root: ET.Element, prefix: str) -> None:
    """Keep only ids that something points at, under a name of this figure's own."""
    used = {match[1] or match[2] for element in root.iter() for value in element.attrib.values()
            if (match := _TARGET.search(value))}
    for element in root.iter():
        for key, value in list(element.attrib.items()):
            if key == "id":
                del element.attrib["id"]
                if value in used:
                    element.set("id", prefix + value)
            elif value.startswith("#") and key.endswith("href"):
                element.set(key, f"#{prefix}{value[1:]}")
            elif value.startswith("url(#"):
                element.set(key, value.replace("url(#", f"url(#{prefix}"))
