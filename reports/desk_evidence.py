"""The tuner's left-hand side: every answer as typed, as understood, and how well it is known."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from analysis.answers import default_known
from analysis.catalogue import BENCH_TESTS, SECTIONS, SIDES, BenchTest, Question, Section
from analysis.document import echo
from analysis.trace_answer import trace_in_words
from intake.models import Photo
from intake.paths import at_path

KNOWN_WORDS = {
    "measured": "measured", "documented": "from papers", "remembered": "remembered", "guessed": "guessed",
    "unknown": "not known",
}
UNIT_WORDS = {"degC": "°C", "degree": "°", "mm**2": "mm²"}
NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Fact:
    """One answer on the desk.  ``leg`` is blank where the question is not about a leg."""

    title: str
    typed: str
    converted: str = ""
    known: str = ""
    leg: str = ""
    fault: str = ""
    odd: str = ""
    """What does not fit with another answer, or is worth asking back."""

    @property
    def long(self) -> bool:
        """Whether the answer needs the whole width."""
        return len(self.typed) > 60

    @property
    def known_words(self) -> str:
        """How well it is known, in the desk's words; blank where that says nothing, as for a picked answer."""
        return "" if self.typed == NOT_KNOWN else KNOWN_WORDS.get(self.known, self.known)


@dataclass(frozen=True)
class Group:
    """The answers of one section or bench test, with its photos and what it left open."""

    name: str
    title: str
    bench: bool
    facts: tuple[Fact, ...]
    open_titles: tuple[str, ...]
    photos: tuple[Photo, ...] = ()

    @property
    def speaks_up(self) -> bool:
        """Whether it is shown unfolded: it has a picture, the rider's own words, or something that is not right."""
        return bool(self.photos) or self.name == "complaint" or any(
            fact.fault or fact.odd or (self.name == "safety" and fact.typed == "yes") for fact in self.facts)

    @property
    def in_short(self) -> str:
        """How many answers, and how well they are known."""
        odd = sum(bool(fact.odd or fact.fault) for fact in self.facts)
        return "; ".join(filter(None, (_counted(self.facts), f"{odd} to look at" if odd else "")))

    @property
    def yes_no(self) -> bool:
        """Whether all answers are a plain yes or no: they need little room."""
        return all(fact.typed in ("yes", "no", NOT_KNOWN) for fact in self.facts)


def odd_answers(findings: Mapping[str, Any]) -> dict[str, str]:
    """Return by path what does not fit together, and what is unusual."""
    odd = {one["path"]: one["question"] for one in findings.get("doubts") or ()}
    for one in findings.get("disagreements") or ():
        odd |= dict.fromkeys(one.get("paths") or (), one["words"])
    return odd


def count_known(groups: Iterable[Group]) -> str:
    """Return how many answers there are and how well they are known."""
    return _counted([fact for group in groups for fact in group.facts])


def _counted(facts: Sequence[Fact]) -> str:
    counts = {known: sum(fact.known == known for fact in facts) for known in KNOWN_WORDS}
    said = [f"{count} {KNOWN_WORDS[known]}" for known, count in counts.items() if count]
    whole = f"{len(facts)} answer{'' if len(facts) == 1 else 's'}"
    return f"{whole}: {', '.join(said)}" if said else whole


def evidence(document: Mapping[str, Any], photos: Iterable[Photo], faults: Mapping[str, str],
             odd: Mapping[str, str] | None = None) -> tuple[Group, ...]:
    """Return every section and bench test with its answers, in the form's order.

    ``faults`` says what is wrong, ``odd`` what does not fit or is unusual, by path.
    """
    by_place: dict[str, list[Photo]] = {}
    for photo in photos:
        by_place.setdefault(photo.place, []).append(photo)
    return tuple(_group(part, document, by_place.get(part.name, ()), faults, odd or {})
                 for part in (*SECTIONS, *BENCH_TESTS))


def _group(part: Section | BenchTest, document: Mapping[str, Any], photos: Iterable[Photo],
           faults: Mapping[str, str], odd: Mapping[str, str]) -> Group:
    facts: list[Fact] = []
    open_titles: list[str] = []
    for question in part.questions:
        found = list(_facts(question, document, faults, odd))
        facts += found
        if not found:
            open_titles.append(question.title)
    return Group(part.name, part.title, isinstance(part, BenchTest), tuple(facts), tuple(open_titles), tuple(photos))


def _facts(question: Question, document: Mapping[str, Any], faults: Mapping[str, str], odd: Mapping[str, str],
           ) -> Iterator[Fact]:
    """Yield the question's answers; two legs that say the same are one line, so that a difference stands out."""
    found = [(path, raw) for path in question.paths() for there, raw in [at_path(document, path)] if there]
    facts = [replace(_fact(question, path, raw, faults.get(path, "")), odd=odd.get(path, "")) for path, raw in found]
    if len(question.paths()) == 1:
        yield from facts
    elif len(facts) == 2 and facts[0] == facts[1]:
        yield replace(facts[0], leg="both legs")
    else:
        for fact, (path, _) in zip(facts, found, strict=True):
            yield replace(fact, leg=next(side for side in SIDES if side in path))


def _fact(question: Question, path: str, raw: Any, fault: str) -> Fact:
    value, known = (raw.get("value"), raw.get("known") or "") if isinstance(raw, Mapping) else (raw, "")
    if value is None or known == "unknown":
        return Fact(question.title, NOT_KNOWN, known="unknown", fault=fault)
    converted = "" if fault or question.kind != "quantity" else _converted(path, value)
    if question.kind == "quantity":
        known = known or default_known(path)
    return Fact(question.title, typed_words(question, value), converted, known, fault=fault)


def _converted(path: str, value: Any) -> str:
    """Return the canonical value where it says more than what was typed."""
    if isinstance(value, int | float):
        return ""
    return echo(path, value).rpartition("=")[2].strip()


def typed_words(question: Question, value: Any) -> str:
    """Return an answer in the words of the form: a choice by its title, a bare number with the unit it was asked in."""
    if question.trace and (words := trace_in_words(value)):
        return words
    titles = {choice.value: choice.title for choice in question.choices}
    if isinstance(value, list | tuple):
        return "; ".join(titles.get(str(one), str(one)) for one in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if question.kind == "quantity" and isinstance(value, int | float):
        unit = UNIT_WORDS.get(question.unit, question.unit)
        return f"{value:g} {unit}".rstrip()
    return titles.get(str(value), str(value))
