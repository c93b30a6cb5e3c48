"""What letters, figures and mails say, in the rider's language."""
from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, TypeVar

from django.utils.translation import get_language, gettext

from intake.words import looked_up

NO_NOUNS = frozenset({"Beide", "Das", "Deine", "Der", "Die", "Drei", "Ein", "Eine", "Jemand", "Voller", "Weicher",
                      "Wie", "Zwei"})
"""First words of German titles that are small in the middle of a sentence."""
KEPT = frozenset({"name", "path", "unit", "kind", "cause", "remedy", "engine", "label", "limited_by", "ended_by", "end",
                  "phrases", "known", "model", "layout", "side", "typed", "paths", "from"})
"""Keys of the findings whose texts are names for the machine, or what a person typed."""

Record = TypeVar("Record")


def tell(template: str, /, **slots: object) -> str:
    """Return a sentence in the language of the letter, its named slots filled."""
    words = gettext(template) if template else ""
    return words.format(**slots) if slots else words


def inside(title: str) -> str:
    """Return a title for the middle of a sentence, without its capital; German nouns and abbreviations keep theirs."""
    words = tell(title)
    first = re.match(r"¿?(\w+)", words)
    german = (get_language() or "en")[:2] == "de"
    if first is None or first[1] == "I" or first[1][1:2].isupper() or german and first[1] not in NO_NOUNS:
        return words
    return first[0].lower() + words[first.end():]


def in_words(text: str, phrases: Mapping[str, Mapping[str, Any]]) -> str:
    """Return an English text of the findings in the language at hand.

    A text that was made from a template is made anew, slot by slot; any other is looked up as it stands.
    """
    made = phrases.get(text)
    if made is None:
        return looked_up(text)
    return said_again(made["template"], {name: in_words(slot, phrases) for name, slot in made["slots"].items()})


def said_again(template: str, slots: Mapping[str, str]) -> str:
    """Return a sentence of the findings in the language at hand, its slots filled with what is said already."""
    words = gettext(template)
    return words.format(**slots) if slots else words


def in_language(findings: Mapping[str, Any]) -> dict[str, Any]:
    """Return the findings with every sentence in the language at hand; names and numbers stay."""
    if (get_language() or "en")[:2] == "en":
        return dict(findings)
    phrases = findings.get("phrases") or {}
    return {key: _said(key, value, phrases) for key, value in findings.items()}


def _said(key: str, value: Any, phrases: Mapping[str, Mapping[str, Any]]) -> Any:
    if isinstance(value, str):
        return value if key in KEPT or not value else in_words(value, phrases)
    if isinstance(value, Mapping):
        return value if key in KEPT else {inner: _said(inner, part, phrases) for inner, part in value.items()}
    if isinstance(value, list | tuple):
        return [_said(key, part, phrases) for part in value]
    return value


def spoken(record: Record) -> Record:
    """Return a dataclass of sentences with each in the language at hand."""
    return replace(record, **{field.name: _each(getattr(record, field.name))  # type: ignore[type-var]
                              for field in fields(record)})  # type: ignore[arg-type]


def _each(value: Any) -> Any:
    if isinstance(value, str):
        return gettext(value) if value else value
    return tuple(_each(part) for part in value) if isinstance(value, tuple) else value
