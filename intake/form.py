"""The form as the rider meets it: catalogue questions with what was typed, and what the page says back.

Nothing here knows a single question by name.  Each answer has up to four inputs: ``PATH`` for the value,
``PATH~unit`` for the unit picked beside a number, ``PATH~known`` for how it is known and ``PATH~shown``, which tells a
list with nothing ticked from one that was not on the page.
"""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from analysis.catalogue import SIDES, Choice, Question
from analysis.document import Fault, echo
from analysis.unit_names import WANTED, plain_spelling
from intake.paths import at_path, is_blank

KNOWN = (
    Choice("measured", "I measured it"),
    Choice("documented", "From papers"),
    Choice("remembered", "I remember it"),
    Choice("guessed", "A guess"),
    Choice("unknown", "I do not know"),
)
UNKNOWN = {"known": "unknown"}
YES_NO = (Choice("yes", "Yes"), Choice("no", "No"))
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

    @property
    def id(self) -> str:
        """Return an id that addresses can point to."""
        return self.path.replace(".", "-")

    @property
    def title(self) -> str:
        """Return the question's words, with the leg where there are two."""
        return f"{self.question.title}, {self.side} leg" if self.side else self.question.title

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
    def text(self) -> str:
        """Return what was typed, without a unit that the list beside it shows."""
        return self._split[0]

    @property
    def unit(self) -> str:
        """Return the unit that the list beside the number shows."""
        return self._split[1]

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
        return "" if self.faults or self.raw is None or is_blank(self.raw) else echo(self.path, self.raw)

    @property
    def said(self) -> str:
        """Return the whole answer in words; '' where there is none."""
        if is_blank(self.raw):
            return ""
        if self.question.kind in ("choice", "many", "yes_no"):
            titles = {pick.value: pick.title for pick in self.picks}
            titles["unknown"] = "I do not know"
            return "; ".join(titles.get(value, value) for value in self.picked)
        if not self.text:
            return "I do not know"
        return f"{self.text}{'' if self.unit in ('', '°') else ' '}{self.unit}"

    @property
    def has_own_unknown(self) -> bool:
        """Tell whether the catalogue offers 'I cannot tell' among the answers, so that the form adds no second one."""
        return any(pick.value in ("cannot tell", "not sure") for pick in self.picks)

    @property
    def asks_known(self) -> bool:
        """Tell whether a number was given without a word on how it is known; a bench result was measured."""
        return (self.question.kind == "quantity" and not self.measured_here and not self.known
                and self.value not in (None, ""))

    @property
    def known_words(self) -> str:
        """Return how it is known in words, for a number that was given."""
        words = {choice.value: choice.title for choice in KNOWN}
        return words.get(self.known, self.known) if self.value not in (None, "") else ""

    @property
    def _split(self) -> tuple[str, str]:
        value = "" if self.value is None else str(self.value)
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
    """Return the questions that are shown, each with its answers, faults and doubts."""
    faults, doubts = tuple(faults), tuple(doubts)
    found = []
    for question in questions:
        fields = tuple(
            Field(path, question, side, at_path(document, path)[1] if at_path(document, path)[0] else "",
                  tuple(fault for fault in faults if fault.path == path),
                  tuple(words for at, words in doubts if at == path))
            for side, path in _places(question) if is_shown(question, side, document))
        if fields:
            found.append(Row(question, fields))
    return found


def fields_of(shown: Iterable[Row]) -> Iterator[Field]:
    """Return the fields of rows, one after the other."""
    for row in shown:
        yield from row.fields


def is_shown(question: Question, side: str, document: Mapping[str, Any]) -> bool:
    """Tell whether the answers so far ask for this question."""
    condition = question.shown_when
    if condition is None:
        return True
    raw = at_path(document, condition.path.format(side=side))[1]
    value = raw.get("value") if isinstance(raw, dict) else raw
    said = {str(item).lower() for item in (value if isinstance(value, list) else [value])}
    said |= {"yes"} if value is True else {"no"} if value is False else set()
    return bool(said & set(condition.values))


def read_posted(questions: Iterable[Question], document: Mapping[str, Any], data: QueryDict) -> dict[str, Any]:
    """Return the posted answers by path, as typed.  What was not on the page is left out and stays as it was."""
    answers: dict[str, Any] = {}
    for field in fields_of(rows(questions, document)):
        read = _READERS[field.question.kind]
        if field.path in data or f"{field.path}~shown" in data:
            answers[field.path] = read(field, data)
    if data.get("same_as_left"):
        _copy_left(questions, answers)
    return answers


def _places(question: Question) -> Iterator[tuple[str, str]]:
    if "{side}" not in question.path:
        return iter([("", question.path)])
    return zip(SIDES, question.paths(), strict=True)


def _read_quantity(field: Field, data: QueryDict) -> Any:
    text, known = data.get(field.path, "").strip(), data.get(f"{field.path}~known", "")
    unit = data.get(f"{field.path}~unit", "")
    if text and unit in field.units[1:] and not re.search(r"[^\W\d]|[%°'\"]", text):
        text = f"{text} {unit}"
    if known == "unknown" and not text:
        return UNKNOWN
    return {"value": text, "known": known} if known else text


def _read_text(field: Field, data: QueryDict) -> Any:
    return data.get(field.path, "").replace("\r\n", "\n").strip()


def _read_choice(field: Field, data: QueryDict) -> Any:
    value = data.get(field.path, "")
    return UNKNOWN if value == "unknown" else value


def _read_yes_no(field: Field, data: QueryDict) -> Any:
    value = _read_choice(field, data)
    return {"yes": True, "no": False}.get(value, value) if isinstance(value, str) else value


def _read_many(field: Field, data: QueryDict) -> Any:
    values = data.getlist(field.path)
    picked = [value for value in values if value != "unknown"]
    return UNKNOWN if "unknown" in values and not picked else picked


_READERS = {"quantity": _read_quantity, "text": _read_text, "choice": _read_choice, "yes_no": _read_yes_no,
            "many": _read_many, "table": _read_text}


def _copy_left(questions: Iterable[Question], answers: dict[str, Any]) -> None:
    """Fill the right leg's empty answers with the left leg's."""
    for question in questions:
        paths = question.paths()
        if len(paths) == len(SIDES) and paths[0] in answers and is_blank(answers.get(paths[1], "")):
            answers[paths[1]] = answers[paths[0]]
