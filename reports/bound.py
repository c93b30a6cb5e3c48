"""Numbers of a letter that know where they come from: the path in the findings, and how they are written.

While a letter is written under ``collecting``, each number of the findings leaves a pair of marks around its text; what
is written is then read back into clean words and a list of numbers with their places.  Outside of that nothing is
marked.
"""
from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from intake.words import looked_up
from reports.tongue import KEPT, said_again

OPEN, CLOSE, FIRST = "\ue000", "\ue001", 0xE100
PRIVATE = re.compile("[\ue000-\uf8ff]")
"""Signs without a meaning of their own; what a person typed never holds one in a letter."""
MOST = 0xF8FF - FIRST
LONGEST = 24
"""A slot longer than this is words, not a number."""

_sources: ContextVar[list[tuple[str, str]] | None] = ContextVar("sources", default=None)


class Bound(float):
    """A number of the findings, and its path there."""

    path: str

    def __new__(cls, value: float, path: str) -> Bound:
        number = super().__new__(cls, value)
        number.path = path
        return number


@contextmanager
def collecting() -> Iterator[list[tuple[str, str]]]:
    """Mark what is written inside; yields the sources that the marks count through."""
    sources: list[tuple[str, str]] = []
    token = _sources.set(sources)
    try:
        yield sources
    finally:
        _sources.reset(token)


def marked(text: str, path: str, how: str) -> str:
    """Return ``text`` between its marks, or as it is where nobody collects."""
    sources = _sources.get()
    if sources is None or len(sources) >= MOST:
        return text
    if (path, how) not in sources:
        sources.append((path, how))
    return f"{OPEN}{chr(FIRST + sources.index((path, how)))}{text}{CLOSE}"


def written(value: object, text: str, how: str) -> str:
    """Return the text of a number, marked where the number is one of the findings."""
    return marked(text, value.path, how) if isinstance(value, Bound) else text


def clean(text: str) -> str:
    """Return a text without marks."""
    return re.sub(f"{OPEN}[{chr(FIRST)}-\uf8ff]|{CLOSE}", "", text)


def read(text: str, sources: list[tuple[str, str]]) -> tuple[str, list[dict[str, Any]]]:
    """Return the clean text, and its numbers: ``path``, ``how``, ``shown`` and ``start``.  The outer mark counts."""
    words: list[str] = []
    numbers: list[dict[str, Any]] = []
    length, depth, begun = 0, 0, (0, "", "")
    for part in re.split(f"({OPEN}[{chr(FIRST)}-\uf8ff]|{CLOSE})", text):
        if part.startswith(OPEN):
            begun = begun if depth else (length, *sources[ord(part[1]) - FIRST])
            depth += 1
        elif part == CLOSE:
            depth -= 1
            if depth == 0:
                start, path, how = begun
                numbers.append({"path": path, "how": how, "shown": "".join(words)[start:], "start": start})
        else:
            words.append(part)
            length += len(part)
    return "".join(words), numbers


def bound(findings: Mapping[str, Any]) -> dict[str, Any]:
    """Return the findings in the language at hand, each number bound to its path there."""
    phrases = findings.get("phrases") or {}
    return {key: _bound(key, value, phrases, key) for key, value in findings.items()}


def _bound(key: str, value: Any, phrases: Mapping[str, Mapping[str, Any]], path: str) -> Any:
    if isinstance(value, float):
        return Bound(value, path)
    if isinstance(value, str):
        return value if key in KEPT or not value else _sentence(value, phrases, path)
    if isinstance(value, Mapping):
        return value if key in KEPT else {
            inner: _bound(inner, part, phrases, f"{path}.{inner}") for inner, part in value.items()}
    if isinstance(value, list | tuple):
        return [_bound(key, part, phrases, f"{path}.{place}") for place, part in zip(_places(value, phrases), value,
                                                                                  strict=True)]
    return value


def _places(items: list[Any] | tuple[Any, ...], phrases: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """Return what each item of a list is called in a path: its own name rather than its place, which may change."""
    taken: dict[str, int] = {}
    names = []
    for place, item in enumerate(items):
        name = _name(item, phrases) or str(place)
        taken[name] = taken.get(name, 0) + 1
        names.append(name if taken[name] == 1 else f"{name} ({taken[name]})")
    return names


def _name(item: Any, phrases: Mapping[str, Mapping[str, Any]]) -> str:
    if isinstance(item, Mapping):
        return next((str(item[key]) for key in ("name", "path", "cause") if item.get(key)), "")
    made = phrases.get(item) if isinstance(item, str) else None
    if made is None:
        return ""
    about = ", ".join(slot for slot in made["slots"].values() if not re.search(r"\d", slot))
    return f"{made['template'][:80]} [{about[:60]}]" if about else str(made["template"])[:80]


def _sentence(text: str, phrases: Mapping[str, Mapping[str, Any]], path: str) -> str:
    """Return a sentence of the findings made anew, each number in its slots marked."""
    made = phrases.get(text)
    if made is None:
        return looked_up(text)

    def slot(name: str, filled: str) -> str:
        if filled in phrases:
            return _sentence(filled, phrases, f"{path} {name}")
        shown = looked_up(filled)
        number = re.search(r"\d", shown) and len(shown) <= LONGEST and shown[-1] not in ".!?"
        return marked(shown, f"{path} {name}", "words") if number else shown

    return said_again(made["template"], {name: slot(name, filled) for name, filled in made["slots"].items()})
