"""The form as the rider meets it: catalogue questions with what was typed, and what the page says back.

Nothing here knows a single question by name.  How an answer comes back from the browser is in ``intake.posted``.
"""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from analysis.catalogue import SIDES, Choice, Question
from analysis.document import Fault, echo
from analysis.meant import Meant, other_meaning
from analysis.repeats import Repeats, repeats_of
from analysis.trace_answer import as_trace_text, read_trace_pairs
from analysis.unit_names import WANTED, plain_spelling
from analysis.units import UnitProblem
from intake.branching import why_not_asked
from intake.paths import at_path, is_blank
from intake.words import digits, translated

KNOWN = (
    Choice("measured", gettext_noop("I measured it")),
    Choice("documented", gettext_noop("From papers")),
    Choice("remembered", gettext_noop("I remember it")),
    Choice("guessed", gettext_noop("A guess")),
    Choice("unknown", gettext_noop("I do not know")),
)
YES_NO = (Choice("yes", gettext_noop("Yes")), Choice("no", gettext_noop("No")))
_NUMBER_AND_UNIT = re.compile(r"\s*([-+−]?[0-9][0-9.,' ]*)\s*(\D.*?)\s*")


@dataclass(frozen=True)
class Field:
    """One answer's place on a page."""

    path: str
    question: Question
    side: str
    raw: Any
    faults: tuple[Fault, ...] = ()
    doubts: tuple[str, ...] = ()
    not_needed: str | None = None
    """Why it is not asked any more; None where it is asked."""

    @property
    def id(self) -> str:
        """Return an id that addresses can point to."""
        return self.path.replace(".", "-")

    @property
    def title(self) -> str:
        """Return the question's words, with the leg where there are two."""
        return in_leg(translated(self.question.title), self.side)

    @property
    def leg(self) -> str:
        """Return which leg it is about, in words."""
        return _("Left leg") if self.side == "left" else _("Right leg")

    @property
    def value(self) -> Any:
        """Return what stands in the document without how it is known."""
        return self.raw.get("value") if isinstance(self.raw, dict) else self.raw

    @property
    def known(self) -> str:
        """Return how it is known: '' where nobody said."""
        if isinstance(self.raw, dict):
            return str(self.raw.get("known") or "")
        return "unknown" if self.raw is None else ""

    @property
    def texts(self) -> tuple[str, ...]:
        """Return what was typed, reading by reading, without a unit that the list beside it shows."""
        if self.question.kind != "quantity" or not isinstance(self.value, list):
            return (self._split(self.value)[0],)
        return tuple(self._split(value)[0] for value in self.value)

    @property
    def text(self) -> str:
        """Return what was typed, or the first of several readings, without a unit that the list beside it shows."""
        return self.texts[0] if self.texts else ""

    @property
    def unit(self) -> str:
        """Return the unit that the list beside the number shows."""
        value = self.value
        return self._split(value[0] if isinstance(value, list) and value else value)[1]

    @property
    def more(self) -> list[tuple[int, str]]:
        """Return number and text of each further reading that there is room for."""
        room = max(self.question.repeats, len(self.texts))
        return [(at + 1, self.texts[at] if at < len(self.texts) else "") for at in range(1, room)]

    @property
    def repeats(self) -> Repeats | None:
        """Return mean and spread where there is more than one reading."""
        return None if self.faults else repeats_of(self.path, self.value)

    @property
    def meant(self) -> Meant | None:
        """Return the likelier unit of a number that was typed without one; None where there is nothing to ask."""
        typed = self.value if isinstance(self.value, (str, int, float)) and not isinstance(self.value, bool) else ""
        if self.question.kind != "quantity" or not typed or has_unit(str(typed)):
            return None
        return other_meaning(self.path, str(typed).strip(), self.unit)

    @property
    def measured_here(self) -> bool:
        """Tell whether it is read off at the bench, so that 'measured' is the likely way it is known."""
        return self.path.startswith("bench.")

    @property
    def units(self) -> tuple[str, ...]:
        """Return the units on offer, the canonical one first; none for a plain number."""
        wanted = WANTED.get(self.question.unit)
        if wanted is None:
            return (self.question.unit,)
        return (wanted.symbol, *wanted.others) if wanted.symbol else ()

    @property
    def picks(self) -> tuple[Choice, ...]:
        """Return the answers to pick from."""
        return YES_NO if self.question.kind == "yes_no" else self.question.choices

    @property
    def long_list(self) -> bool:
        """Tell whether one of many is to be picked: the first page folds such a list up."""
        return self.question.kind == "choice" and len(self.picks) > 8

    @property
    def picked(self) -> tuple[str, ...]:
        """Return the picked answers, 'unknown' and none of them included."""
        if self.known == "unknown":
            return ("unknown",)
        if isinstance(self.value, bool):
            return ("yes",) if self.value else ("no",)
        if isinstance(self.value, (list, tuple)):
            return tuple(str(item) for item in self.value)
        return (str(self.value),) if self.value else ()

    @property
    def echo(self) -> str:
        """Return what was typed, shown back converted; '' where there is nothing to say."""
        if self.faults or self.raw is None or is_blank(self.raw):
            return ""
        typed, equals, understood = translated(echo(self.path, self.raw)).partition(" = ")
        return f"{typed}{equals}{digits(understood)}"  # what was typed stays as it was typed

    @property
    def said(self) -> str:
        """Return the whole answer in words; '' where there is none."""
        if is_blank(self.raw):
            return ""
        if self.question.kind in ("choice", "many", "yes_no"):
            titles = {pick.value: translated(pick.title) for pick in self.picks}
            titles["unknown"] = _("I do not know")
            return "; ".join(titles.get(value, value) for value in self.picked)
        if not any(self.texts):
            return _("I do not know")
        return f"{'; '.join(filter(None, self.texts))}{'' if self.unit in ('', '°') else ' '}{self.unit}"

    @property
    def has_own_unknown(self) -> bool:
        """Tell whether the catalogue offers 'I cannot tell' among the answers, so that the form adds no second one."""
        return any(pick.value in ("cannot tell", "not sure") for pick in self.picks)

    @property
    def asks_known(self) -> bool:
        """Tell whether a number was given without a word on how it is known; a bench result was measured."""
        return (self.question.kind == "quantity" and not self.measured_here and not self.known
                and self.value not in (None, "", []))

    @property
    def known_words(self) -> str:
        """Return how it is known in words, for a number that was given."""
        words = {choice.value: translated(choice.title) for choice in KNOWN}
        return words.get(self.known, self.known) if self.value not in (None, "", []) else ""

    def _split(self, typed: Any) -> tuple[str, str]:
        value = "" if typed is None else _trace_text(typed) if self.question.trace else str(typed)
        units = self.units
        if self.question.kind != "quantity" or not units:
            return value, ""
        found = _NUMBER_AND_UNIT.fullmatch(value)
        if found:
            spellings = {plain_spelling(unit): unit for unit in units}
            unit = spellings.get(plain_spelling(found[2]))
            if unit:
                return found[1].strip(), unit
        return value, units[0]


@dataclass(frozen=True)
class Row:
    """One question on a page: one field, or one for each leg."""

    question: Question
    fields: tuple[Field, ...]

    @property
    def by_leg(self) -> bool:
        """Tell whether both legs are asked."""
        return len(self.fields) > 1 or bool(self.fields[0].side)


def rows(
    questions: Iterable[Question], document: Mapping[str, Any], faults: Iterable[Fault] = (),
    doubts: Iterable[tuple[str, str]] = (),
) -> list[Row]:
    """Return the questions that are asked, each with its answers, faults and doubts."""
    return _rows(questions, document, tuple(faults), tuple(doubts), asked=True)


def rows_not_needed(
    questions: Iterable[Question], document: Mapping[str, Any], faults: Iterable[Fault] = (),
    doubts: Iterable[tuple[str, str]] = (),
) -> list[Row]:
    """Return the questions that were answered and are not asked any more: what was typed is kept and can be seen."""
    return _rows(questions, document, tuple(faults), tuple(doubts), asked=False)


def _rows(
    questions: Iterable[Question], document: Mapping[str, Any], faults: tuple[Fault, ...],
    doubts: tuple[tuple[str, str], ...], asked: bool,
) -> list[Row]:
    found = []
    for question in questions:
        fields = tuple(field for field in _fields(question, document, faults, doubts)
                       if (field.not_needed is None if asked else
                           field.not_needed is not None and not is_blank(field.raw)))
        if fields:
            found.append(Row(question, fields))
    return found


def _fields(
    question: Question, document: Mapping[str, Any], faults: tuple[Fault, ...], doubts: tuple[tuple[str, str], ...],
) -> Iterator[Field]:
    for side, path in places_of(question):
        there, raw = at_path(document, path)
        yield Field(path, question, side, raw if there else "", tuple(fault for fault in faults if fault.path == path),
                    tuple(words for at, words in doubts if at == path), why_not_asked(question, side, document))


def fields_of(shown: Iterable[Row]) -> Iterator[Field]:
    """Return the fields of rows, one after the other."""
    for row in shown:
        yield from row.fields


def in_leg(title: str, side: str) -> str:
    """Return a question's words with the leg that it is about."""
    if not side:
        return title
    return (_("%(question)s, left leg") if side == "left" else _("%(question)s, right leg")) % {"question": title}


def _trace_text(typed: Any) -> str:
    """Return a trace that came as a list of pairs the way a person would type it."""
    try:
        return as_trace_text(read_trace_pairs(typed)) if isinstance(typed, list) else str(typed)
    except UnitProblem:
        return str(typed)


def has_unit(text: str) -> bool:
    """Tell whether a number was typed with a unit behind it."""
    return bool(re.search(r"[^\W\d]|[%°'\"]", text))


def places_of(question: Question) -> Iterator[tuple[str, str]]:
    """Return side and path of each answer to a question: "" where there are no two legs."""
    if "{side}" not in question.path:
        return iter([("", question.path)])
    return zip(SIDES, question.paths(), strict=True)
