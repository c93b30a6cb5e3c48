"""A number whose unit was perhaps forgotten or mistaken: what it would be in the likelier unit."""
from __future__ import annotations

from dataclasses import dataclass

from analysis.catalogue import QUESTIONS
from analysis.quantities import fit, further_spellings, other_unit, settled
from analysis.units import UnitProblem, format_quantity, read_quantity, to_si


@dataclass(frozen=True)
class Meant:
    """``number`` as typed is unlikely in ``unit``; in ``other`` it would be ``value``.  ``possible``: as it stands."""

    number: str
    unit: str
    other: str
    value: str
    possible: bool


def other_meaning(path: str, typed: str, unit: str) -> Meant | None:
    """Return what ``typed``, a number without a unit of its own, would be in the unit that makes it usual.

    ``unit`` is the one it is read in.  None where the number is usual as it stands or in no other unit.
    """
    question = QUESTIONS.get(path)
    if question is None or question.kind != "quantity" or not question.unit:
        return None
    try:
        reading = read_quantity(f"{typed} {unit}", question.unit, further_spellings(path, question))
    except UnitProblem:
        return None
    how_usual = fit(settled(reading, question)[0], question)
    meant = other_unit(reading, question) if how_usual < 2 else None
    if meant is None:
        return None
    value = format_quantity(to_si(f"{typed} {meant[0]}", question.unit), question.unit)
    return Meant(typed, unit, meant[0], value, how_usual == 1)
