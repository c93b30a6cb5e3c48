"""Pieces that a JSON Schema of results is put together from: each says its meaning and its unit.

A group lists every key that it may have and nothing else, so that a part which nobody described is a fault.
"""
from __future__ import annotations

from collections.abc import Iterable
from typing import Any

Schema = dict[str, Any]

BAND = "5 and 95 % points"
PATH = "A question of the case document, its groups joined by dots."


def number(words: str) -> Schema:
    """A number that is always there."""
    return {"type": "number", "description": words}


def maybe(words: str) -> Schema:
    """A number, or null where what it rests on is not known."""
    return {"type": ["number", "null"], "description": f"{words} null: not known."}


def text(words: str) -> Schema:
    """A text."""
    return {"type": "string", "description": words}


def yes_no(words: str) -> Schema:
    """True or false."""
    return {"type": "boolean", "description": words}


def one_of(values: Iterable[str], words: str) -> Schema:
    """One of a few texts."""
    return {"enum": [*values], "description": words}


def or_null(schema: Schema, why: str) -> Schema:
    """The same, or null with its reason."""
    words = f"{schema.get('description', '')} null: {why}".strip()
    return {"anyOf": [{key: part for key, part in schema.items() if key != "description"}, {"type": "null"}],
            "description": words}


def listing(items: Schema, words: str) -> Schema:
    """A list of any length."""
    return {"type": "array", "items": items, "description": words}


def texts(words: str) -> Schema:
    """A list of sentences."""
    return listing({"type": "string"}, words)


def band(words: str, *, null: str = "") -> Schema:
    """Two numbers: 5 and 95 % points; null only where ``null`` says why."""
    pair: Schema = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2,
                    "description": f"{words} {BAND}."}
    return or_null(pair, null) if null else pair


def group(words: str, properties: Schema, optional: Iterable[str] = ()) -> Schema:
    """A group with exactly these keys; those that are ``optional`` may be left out."""
    return {"type": "object", "description": words, "properties": properties, "additionalProperties": False,
            "required": [key for key in properties if key not in set(optional)]}


def assumed_schema() -> Schema:
    """Usual values that stand in for what was not answered."""
    return listing(group("One usual value.", {
        "path": text(PATH), "value": number("The value, in the unit."),
        "unit": text("Its unit; blank for a share, a ratio or braking in g."), "reason": text("Why this value."),
    }), "Usual values that stand in for what was not answered.")
