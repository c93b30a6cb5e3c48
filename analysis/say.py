"""Sentences that remember how they were made, so that they can be said again in another language.

A ``Phrase`` is its English text; beside it stands the template and what went into its slots.  No sentence is glued
from pieces: another language orders them otherwise.
"""
from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any


class Phrase(str):
    """English text, with the template and the slots that it was made from."""

    template: str
    slots: Mapping[str, str]

    def __new__(cls, template: str, slots: Mapping[str, str]) -> Phrase:
        phrase = super().__new__(cls, template.format(**slots) if slots else template)
        phrase.template, phrase.slots = template, dict(slots)
        return phrase

    def __getnewargs__(self) -> tuple[Any, ...]:  # str's own, for copies and pickles
        return self.template, self.slots


def say(template: str, /, **slots: str | int) -> Phrase:
    """Fill the slots of a sentence.  A slot is a number as text ("12.5"), a whole number, a title, or a phrase."""
    return Phrase(template, {name: slot if isinstance(slot, str) else str(slot) for name, slot in slots.items()})


def listed(items: Sequence[str]) -> str:
    """Return "this, that and those"; one item is itself, none is empty."""
    if not items:
        return say("")
    if len(items) <= 2:
        return items[0] if len(items) == 1 else say("{first} and {last}", first=items[0], last=items[1])
    return say("{first}, {rest}", first=items[0], rest=listed(items[1:]))


def either(items: Sequence[str]) -> str:
    """Return "this or that" of two items; one item is itself."""
    return items[0] if len(items) == 1 else say("{first} or {last}", first=items[0], last=items[1])


def in_a_row(clauses: Sequence[str]) -> str:
    """Return "this; that; those"; none is empty."""
    if len(clauses) <= 1:
        return clauses[0] if clauses else say("")
    return say("{first}; {rest}", first=clauses[0], rest=in_a_row(clauses[1:]))


def one_after_another(sentences: Iterable[str]) -> str:
    """Return whole sentences in a row; empty ones are left out."""
    said = [sentence for sentence in sentences if sentence]
    if len(said) <= 1:
        return said[0] if said else say("")
    return say("{first} {rest}", first=said[0], rest=one_after_another(said[1:]))


def phrases_in(document: object) -> dict[str, dict[str, Any]]:
    """Return every phrase of a document of dicts, lists and texts, by its English text."""
    found: dict[str, dict[str, Any]] = {}
    _collect(document, found)
    return found


def _collect(node: object, found: dict[str, dict[str, Any]]) -> None:
    if isinstance(node, Phrase):
        if node and node not in found:
            found[str(node)] = {"template": node.template, "slots": {k: str(v) for k, v in node.slots.items()}}
            _collect(node.slots, found)
    elif isinstance(node, Mapping):
        for part in node.values():
            _collect(part, found)
    elif isinstance(node, (list, tuple)):
        for part in node:
            _collect(part, found)


LEGS: Mapping[str, Phrase] = {"left": say("Left leg"), "right": say("Right leg")}
"""The two legs at the start of a line."""
