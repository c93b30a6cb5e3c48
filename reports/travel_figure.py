"""How much of the time the suspension moved at each speed, drawn: compression up, rebound down."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from reports.drawing import canvas, line, rect, write, written

WIDTH, HEIGHT = 520.0, 230.0
LEFT, TOP, MIDDLE, TALL = 12.0, 26.0, 112.0, 80.0
"""Where classes begin, and the line that both ways start from; ``TALL`` is the longest bar."""


def class_names(fast: Mapping[str, Any]) -> list[str]:
    """Return "0 to 50", ..., "over 3000": the speed classes in mm/s."""
    lower = fast["from_mm_per_s"]
    return [*(f"{low} to {high}" for low, high in zip(lower, lower[1:], strict=False)), f"over {lower[-1]}"]


def speeds_svg(fast: Mapping[str, Any], end: str) -> str:
    """Draw the share of the time in each class of speed; the table beside it has the numbers."""
    down, up = fast["compression_percent"], fast["rebound_percent"]
    told = (f"Most of the time in compression at {class_names(fast)[down.index(max(down))]} mm/s, "
            f"in rebound at {class_names(fast)[up.index(max(up))]} mm/s. The table has every number.")
    svg = canvas("figure figure-speeds", f"{end}: time at each speed", told, WIDTH, HEIGHT)
    write(svg, "compression", LEFT, 16, "start", 13, bold=True)
    write(svg, "rebound", LEFT, MIDDLE + TALL + 14, "start", 13, bold=True)
    step, most = (WIDTH - 2 * LEFT) / len(down), max(*down, *up, 0.01)
    for place, shares in enumerate(zip(down, up, strict=True)):
        x, (deep, high) = LEFT + place * step, (TALL * share / most for share in shares)
        rect(svg, x + 3, MIDDLE - deep, step - 6, deep)
        rect(svg, x + 3, MIDDLE, step - 6, high, opacity="0.5")
        write(svg, str(fast["from_mm_per_s"][place]), x, HEIGHT - 6, "middle" if place else "start", 11)
    line(svg, LEFT, MIDDLE, WIDTH - LEFT, MIDDLE, 1.5)
    write(svg, "from mm/s", WIDTH - LEFT, HEIGHT - 20, "end", 11)
    return written(svg)
