"""A tuner's own words for letters: slots in braces that each letter fills from its findings.

A number that comes in by a slot is bound to its path, as if the engine had written it.
"""
from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.utils.translation import override

from intake.errors import Refused
from reports.bound import bound, collecting, read
from reports.letter_parts import leading
from reports.letter_parts import plain as typed
from reports.phrases import at, odds, quantity

SLOT = re.compile(r"\{([^{}\n]*)\}")
HEAD = {"rider": "rider_name", "case": "number", "round": "round", "date": "date"}
NUMBERS: dict[str, tuple[tuple[str, ...], str]] = {
    "usable stroke": (("fork", "usable_stroke_mm", "found"), "mm"),
    "usable stroke advised": (("fork", "usable_stroke_mm", "advised"), "mm"),
    "rider sag": (("fork", "rider_sag_mm", "found"), "mm"),
    "rider sag advised": (("fork", "rider_sag_mm", "advised"), "mm"),
    "level left": (("service", "left", "level_to_set_mm"), "mm"),
    "level right": (("service", "right", "level_to_set_mm"), "mm"),
    "draw off left": (("service", "left", "draw_off_ml"), "ml"),
    "draw off right": (("service", "right", "draw_off_ml"), "ml"),
}
SLOTS = (*HEAD, "cause", "likelihood", *NUMBERS)
"""What may stand in braces."""


def unknown_slots(text: str) -> list[str]:
    """Return what stands in braces and is no slot."""
    return [name for name in SLOT.findall(text) if " ".join(name.split()).lower() not in SLOTS]


def filled(text: str, findings: Mapping[str, Any], head: Mapping[str, Any], language: str,
           ) -> tuple[str, list[dict[str, Any]]]:
    """Return the words with their slots filled, and the numbers in them.  Refused where a slot's value is not known."""
    with override(language), collecting() as sources:
        known = _values(bound(findings), head)

        def value(match: re.Match[str]) -> str:
            name = " ".join(match[1].split()).lower()
            if not known.get(name):
                raise Refused(f"This letter has nothing for {{{match[1]}}}.",
                              "The findings do not say it. Write it out by hand, or choose other words.")
            return known[name]

        return read(SLOT.sub(value, text), sources)


def slot_numbers(findings: Mapping[str, Any], language: str) -> dict[tuple[str, str], str]:
    """Return how each number that a slot can bring is written on these findings, by its path and how."""
    with override(language), collecting() as sources:
        _, numbers = read(" ".join(_values(bound(findings), {}).values()), sources)
    return {(number["path"], number["how"]): number["shown"] for number in numbers}


def _values(findings: Mapping[str, Any], head: Mapping[str, Any]) -> dict[str, str]:
    cause = leading(findings) or {}
    values = {slot: typed(str(head.get(key) or "")) for slot, key in HEAD.items()}
    values |= {"cause": str(cause.get("title") or ""),
               "likelihood": odds(cause["probability"]) if cause.get("probability") is not None else ""}
    for slot, (path, unit) in NUMBERS.items():
        found = at(findings, *path)
        values[slot] = quantity(found, unit) if isinstance(found, float) else ""
    return values
