"""The pages of the form: sections and bench tests, how far each is, and which must wait or need not be done."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from analysis.catalogue import BENCH_TESTS, QUESTIONS, SECTIONS, BenchTest, Section
from analysis.catalogue.bench_rear import REAR_BENCH_TESTS
from analysis.catalogue.first import FIRST_STEPS, FirstStep
from analysis.document import Fault, doubts_of
from intake.branching import why_no_test
from intake.form import Field, Row, fields_of, rows, rows_not_needed
from intake.paths import at_path, is_blank
from intake.words import translated

NEEDS = {
    "helper": gettext_lazy("someone to help"), "stand": gettext_lazy("a stand that lifts the front"),
    "rear stand": gettext_lazy("a stand that lifts the rear"), "tape": gettext_lazy("a tape or ruler"),
    "caps": gettext_lazy("some practice with fork caps"), "ride": gettext_lazy("a ride on a quiet road"),
    "workshop": gettext_lazy("a workshop's measuring tools"),
}
SKILLED = frozenset({"caps", "ride", "stand", "rear stand", "workshop"})
"""Not offered until the rider has said that they can."""
REAR = frozenset(test.name for test in REAR_BENCH_TESTS)
FIRST = Section(
    "first", "Eight short questions",
    "About three minutes. They show whether the bike is safe, what matters, and what can be left out. "
    "“I do not know” is a good answer.",
    tuple(QUESTIONS[path] for step in FIRST_STEPS for path in step.paths))
"""The first page: the same questions as in the sections, so that an answer given here is answered there."""


@dataclass(frozen=True)
class Station:
    """One page of the form: a section or a bench test."""

    place: Section | BenchTest
    url: str
    rows: tuple[Row, ...]
    not_needed: tuple[Row, ...] = ()
    """Questions that were answered and are not asked any more."""
    lacks: tuple[str, ...] = ()
    """What the rider does not have or did not say they have."""
    closed: str = ""
    """Why the test is not to be done at all; '' where it may be done."""
    no_more: str = ""
    """Why the test would tell nothing more, by the answers so far; '' where it may."""

    @property
    def is_bench(self) -> bool:
        """Tell whether it is a bench test."""
        return isinstance(self.place, BenchTest)

    @property
    def is_rear(self) -> bool:
        """Tell whether it is a test of the rear."""
        return self.place.name in REAR

    @property
    def total(self) -> int:
        """Return how many answers there can be; the reason for leaving a test out is none of them."""
        if self.place is FIRST:
            return len(FIRST_STEPS)
        return sum(1 for field in fields_of(self.rows) if not field.path.endswith(".not_done"))

    @property
    def answered(self) -> int:
        """Return how many answers there are; 'I do not know' is one."""
        if self.place is FIRST:
            return sum(answer.answered for answer in first_answers(self))
        return sum(1 for field in fields_of(self.rows)
                   if not field.path.endswith(".not_done") and not is_blank(field.raw))

    @property
    def share(self) -> int:
        """Return how far it is, in percent."""
        return 100 if self.left_out else round(100 * self.answered / max(self.total, 1))

    @property
    def left_out(self) -> str:
        """Return why the rider could not do it; '' where they did not say so."""
        return "; ".join(field.said for field in fields_of(self.rows)
                         if field.path.endswith(".not_done") and field.said)

    @property
    def begun(self) -> bool:
        """Tell whether anything was answered here."""
        return any(not is_blank(field.raw) for field in fields_of(self.rows)) or bool(self.left_out)

    @property
    def faults(self) -> tuple[tuple[Field, Fault], ...]:
        """Return what is wrong here, with the field it is wrong at."""
        return tuple((field, fault) for field in fields_of((*self.rows, *self.not_needed)) for fault in field.faults)

    @property
    def doubts(self) -> tuple[tuple[Field, str], ...]:
        """Return what is asked back here, with the field it is about."""
        return tuple((field, words) for field in fields_of(self.rows) for words in field.doubts)


@dataclass(frozen=True)
class FirstAnswer:
    """One of the first questions with what was answered."""

    step: FirstStep
    number: int
    rows: tuple[Row, ...]
    answered: bool

    @property
    def asked(self) -> list[Row]:
        """Return what is asked in sight: what the step is about."""
        return [row for row in self.rows if row.question.path in self.step.settle]

    @property
    def extra(self) -> list[Row]:
        """Return what is asked in a fold: it helps, and is asked again on its own page."""
        return [row for row in self.rows if row.question.path not in self.step.settle]

    @property
    def extra_titles(self) -> list[str]:
        """Return what the fold holds, in words."""
        return [translated(row.question.title).rstrip("?") for row in self.extra]

    @property
    def extra_begun(self) -> bool:
        """Tell whether something in the fold is answered; then it lies open."""
        return any(not is_blank(field.raw) for field in fields_of(self.extra))

    @property
    def has_unknown(self) -> bool:
        """Tell whether something of it was answered with "I do not know"."""
        return any(field.known == "unknown" for field in fields_of(self.rows))


def stations_of(
    number: str, document: Mapping[str, Any], faults: Sequence[Fault] = (), stopped: bool = False,
    sealed: Sequence[str] = (),
) -> tuple[Station, ...]:
    """Return the pages of a case's document, each with its answers, faults and doubts.

    ``stopped``: a safety gate closes every bench test.  ``sealed``: why the fork is not opened at home.
    """
    doubts = tuple((doubt.path, doubt.question) for doubt in doubts_of(document))
    return tuple(_station(place, number, document, faults, doubts, stopped, sealed)
                 for place in (FIRST, *SECTIONS, *BENCH_TESTS))


def _station(
    place: Section | BenchTest, number: str, document: Mapping[str, Any], faults: Sequence[Fault],
    doubts: tuple[tuple[str, str], ...], stopped: bool, sealed: Sequence[str],
) -> Station:
    asked = tuple(rows(place.questions, document, faults, doubts))
    rest = tuple(rows_not_needed(place.questions, document, faults, doubts))
    if isinstance(place, Section):
        return Station(place, reverse("section", args=[number, place.name]), asked, rest)
    return Station(place, reverse("bench-test", args=[number, place.name]), asked, rest, _lacks(place, document),
                   _closed(place, sealed, stopped), translated(why_no_test(place.name, document)))


def first_answers(first: Station) -> tuple[FirstAnswer, ...]:
    """Return the first questions, each with its rows and whether it is answered."""
    by_path = {row.question.path: row for row in first.rows}
    return tuple(
        FirstAnswer(step, number, tuple(by_path[path] for path in step.paths if path in by_path),
                    _is_answered(step, by_path))
        for number, step in enumerate(FIRST_STEPS, start=1))


def _is_answered(step: FirstStep, by_path: Mapping[str, Row]) -> bool:
    given = [path in by_path and not is_blank(by_path[path].fields[0].raw) for path in step.settle]
    return all(given) if step.all_of else any(given)


def _lacks(test: BenchTest, document: Mapping[str, Any]) -> tuple[str, ...]:
    can = _value(document, "rider.can")
    has = set(can) if isinstance(can, list) else {need for need in test.needs if need not in SKILLED}
    return tuple(str(NEEDS.get(need, need)) for need in test.needs if need not in has)


def _closed(test: BenchTest, sealed: Sequence[str], stopped: bool) -> str:
    if stopped:
        return _("An answer says that the bike is not safe. Nothing is tested on it until a workshop has seen it.")
    return " ".join(translated(words) for words in sealed) if "caps" in test.needs else ""


def _value(document: Mapping[str, Any], path: str) -> Any:
    raw = at_path(document, path)[1]
    return raw.get("value") if isinstance(raw, dict) else raw
