"""Which drawing shows how to take the photo that helps on a page."""
from __future__ import annotations

SIDE, RULER, TIE, ADJUSTER, PARTS = "photo_side", "photo_ruler", "photo_tie", "photo_adjuster", "photo_parts"
HINTS: dict[str, str] = {
    "bike": SIDE, "rider": SIDE, "use": SIDE, "tyres": SIDE, "heights": SIDE, "alignment": SIDE,
    "sag": RULER, "rear_sag": RULER, "oil": RULER, "fork_oil": RULER, "legs": RULER, "known_load": RULER,
    "preload": RULER, "drain": RULER, "springs_measured": RULER,
    "travel": TIE, "push": TIE, "bottoming": TIE, "rolling": TIE,
    "settings": ADJUSTER, "clicks": ADJUSTER, "rebound": ADJUSTER, "shock": ADJUSTER,
    "springs": PARTS, "springs_out": PARTS, "more": PARTS, "fork": PARTS, "twins": PARTS, "service": PARTS,
    "cap": PARTS,
}
"""By the name of the section or bench test; where a page is not listed, the picture of the whole bike."""


def hint_for(place: str) -> str:
    """Return the name of the drawing."""
    return HINTS.get(place, SIDE)
