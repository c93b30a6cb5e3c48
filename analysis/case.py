"""A case as the engine sees it: answers in SI, each with how well it is known."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Value = float | str | bool | tuple[str, ...]
Known = Literal["measured", "documented", "remembered", "guessed"]


@dataclass(frozen=True)
class Answer:
    """One answer.  A quantity is in SI (gauge pressure stays gauge) with its standard deviation ``sd``.

    Lengths m, areas m², volumes m³, rates N/m, forces N, pressures Pa, masses kg, angles rad, temperatures K, times s;
    turns, clicks, coils and shares are pure numbers.  Anything that is not a quantity has ``sd`` 0.  ``typed`` is what
    the person wrote.
    """

    path: str
    value: Value
    sd: float
    known: Known
    typed: str


@dataclass(frozen=True)
class Doubt:
    """Something unusual but possible: accepted, and asked back."""

    path: str
    question: str


@dataclass(frozen=True)
class Fault:
    """Something that cannot be accepted: where, what is wrong, and what to do about it."""

    path: str
    problem: str
    mend: str


class CaseFaults(ValueError):
    """Every fault of a document at once."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        lines = (f"{fault.path or 'the document'}: {fault.problem}. {fault.mend}" for fault in faults)
        super().__init__("\n".join(lines))
        self.faults = faults


@dataclass(frozen=True)
class Case:
    """All answers by path, the paths that were asked and not known, and what is asked back."""

    answers: Mapping[str, Answer]
    unknown: frozenset[str]
    doubts: tuple[Doubt, ...]

    def answer(self, path: str) -> Answer | None:
        """Return the answer at ``path``, or ``None`` where there is none."""
        return self.answers.get(path)

    def value(self, path: str, default: Value | None = None) -> Value | None:
        """Return the value at ``path``, or ``default`` where there is none."""
        answer = self.answers.get(path)
        return default if answer is None else answer.value

    def told(self, path: str) -> Value | None:
        """Return the value at ``path``, or ``None`` where there is none or it was only guessed."""
        answer = self.answers.get(path)
        return None if answer is None or answer.known == "guessed" else answer.value

    def number(self, path: str) -> float | None:
        """Return the quantity at ``path`` in SI, or ``None`` where there is none or it is no quantity."""
        value = self.value(path)
        return value if isinstance(value, float) else None

    def without(self, *paths: str) -> Case:
        """Return the same case without the answers at ``paths``: what would be said had they not been given?"""
        left = {key: answer for key, answer in self.answers.items() if key not in paths}
        return Case(MappingProxyType(left), self.unknown, self.doubts)
