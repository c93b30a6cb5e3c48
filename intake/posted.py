"""What a page of the form sends back, as answers by path.

Each answer has up to five kinds of input: ``PATH`` for the value, ``PATH~2`` and on for further readings of the same
thing, ``PATH~unit`` for the unit picked beside a number, ``PATH~known`` for how it is known and ``PATH~shown``, which
tells a list with nothing ticked from one that was not on the page.  ``settle`` is a button: ``PATH|unit`` says which
unit was meant.  ``why`` is a button too: a reason for leaving a test out.
"""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.http import QueryDict

from analysis.catalogue import SIDES, Question
from intake.form import Field, fields_of, has_unit, rows, rows_not_needed
from intake.paths import is_blank

UNKNOWN = {"known": "unknown"}
NONE_OF_THE_OTHERS = "checklist~none"
"""Ticked: whatever stands unticked on the checklist is not so."""


def read_posted(questions: Iterable[Question], document: Mapping[str, Any], data: QueryDict) -> dict[str, Any]:
    """Return the posted answers by path, as typed.  What was not on the page is left out and stays as it was."""
    questions = tuple(questions)
    answers: dict[str, Any] = {}
    for field in fields_of([*rows(questions, document), *rows_not_needed(questions, document)]):
        if field.path in data or f"{field.path}~shown" in data:
            answers[field.path] = _READERS[field.question.kind](field, data)
        elif f"{field.path}~listed" in data:
            answers[field.path] = _read_listed(field, data)
    if data.get("same_as_left"):
        _copy_left(questions, answers)
    return answers


def _read_quantity(field: Field, data: QueryDict) -> Any:
    known, unit = data.get(f"{field.path}~known", ""), data.get(f"{field.path}~unit", "")
    typed = [data.get(field.path, ""), *(data.get(f"{field.path}~{number}", "") for number, _ in field.more)]
    texts = [_with_unit(field, text.strip(), unit, data) for text in typed if text.strip()]
    if known == "unknown" and not texts:
        return UNKNOWN
    value = texts if len(texts) > 1 else "".join(texts)
    return {"value": value, "known": known} if known else value


def _with_unit(field: Field, text: str, unit: str, data: QueryDict) -> str:
    """Return the number with the unit picked beside it, where that is not the question's own.

    A unit that the rider has confirmed stays written out: it is not asked about again.
    """
    settled, _, meant = data.get("settle", "").rpartition("|")
    if settled == field.path and meant in field.units and not has_unit(text):
        return f"{text} {meant}"
    if unit not in field.units or has_unit(text):
        return text
    before = field.value if isinstance(field.value, list) else [field.value]
    return f"{text} {unit}" if unit != field.units[0] or f"{text} {unit}" in before else text


def _read_text(field: Field, data: QueryDict) -> Any:
    text = data.get(field.path, "").replace("\r\n", "\n").strip()
    return data.get("why", "").strip() if field.path.endswith(".not_done") and not text else text


def _read_choice(field: Field, data: QueryDict) -> Any:
    value = data.get(field.path, "")
    return UNKNOWN if value == "unknown" else value


def _read_yes_no(field: Field, data: QueryDict) -> Any:
    value = _read_choice(field, data)
    return {"yes": True, "no": False}.get(value, value) if isinstance(value, str) else value


def _read_listed(field: Field, data: QueryDict) -> Any:
    """Return what an unticked line of a checklist says: no where that was said of all the others, else as before."""
    if data.get(NONE_OF_THE_OTHERS):
        return False
    return "" if field.picked == ("yes",) else field.raw


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
