"""The case document: from JSON to a ``Case``, or to every fault in it.

A document is nested by the dots of a question's path.  A value is a number in the key's unit, a text with its own
unit, ``{"value": …, "known": …}``, or ``null`` where it was asked and is not known.  A bare value counts as
"measured" under ``bench`` and as "documented" everywhere else.  What is missing is missing: nothing is filled in.
"""
from __future__ import annotations

import json
import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import NoReturn

from analysis.answers import take_answer
from analysis.case import Answer, Case, CaseFaults, Doubt, Fault
from analysis.catalogue import QUESTIONS, Question
from analysis.contradictions import find_contradictions
from analysis.notes import Notes, shown, text_is_sound
from analysis.quantities import further_spellings, settled
from analysis.say import say
from analysis.trace_answer import trace_in_words
from analysis.unit_names import WANTED, plain_spelling
from analysis.units import Reading, UnitProblem, format_quantity, read_quantity
from analysis.wrong_keys import mend_for

__all__ = ["Answer", "Case", "CaseFaults", "Doubt", "Fault", "SCHEMA_NUMBER", "Tree", "TREE",
           "doubts_of", "echo", "faults_of", "parse_case", "read_json"]

SCHEMA_NUMBER = 1
LARGEST_JSON = 1_000_000
"""Bytes.  A full case takes about ten thousand."""

Tree = dict[str, "Question | Tree"]


def _tree() -> Tree:
    root: Tree = {}
    for path, question in QUESTIONS.items():
        *groups, key = path.split(".")
        node = root
        for group in groups:
            inner = node.setdefault(group, {})
            assert isinstance(inner, dict), f"{path} lies inside a question"
            node = inner
        node[key] = question
    return root


TREE: Tree = _tree()
"""The catalogue's questions, nested as in a document."""

_HEAD = ("schema", "title", "notes")
_MOST_GUESSES = 200
"""Guessing what an unknown key meant takes time; a document of junk gets its faults without guesses."""


def parse_case(document: object) -> Case:
    """Return the case that ``document`` (JSON as Python objects) describes.

    Raises CaseFaults with every fault.  The spread of a quantity is
    ``hypot(absolute, relative × |value|) × factor`` in SI, the factor by how it is known: measured 1, documented 1,
    remembered 3, guessed 6.
    """
    notes = _read(document)
    if notes.faults:
        raise CaseFaults(tuple(notes.faults))
    return Case(MappingProxyType(notes.answers), frozenset(notes.unknown), tuple(notes.doubts))


def faults_of(document: object) -> tuple[Fault, ...]:
    """Return every fault of ``document``; empty where it can be handed in."""
    return tuple(_read(document).faults)


def doubts_of(document: object) -> tuple[Doubt, ...]:
    """Return what is asked back about ``document``, also while it still has faults."""
    return tuple(_read(document).doubts)


def _read(document: object) -> Notes:
    notes = Notes()
    if not isinstance(document, Mapping):
        notes.fault("", say("the document is {document}, not a group of answers", document=shown(document)),
                    say("Write {form}.", form='{"schema": 1, "bike": {…}, "fork": {…}}'))
        return notes
    _read_head(document, notes)
    _read_group("", TREE, {key: value for key, value in document.items() if key not in _HEAD}, notes)
    find_contradictions(notes)
    return notes


def _read_head(document: Mapping[object, object], notes: Notes) -> None:
    number = document.get("schema", SCHEMA_NUMBER)
    if isinstance(number, bool) or number != SCHEMA_NUMBER:
        notes.fault("schema", say("{number} is not a form of document that is known here", number=shown(number)),
                    say("Write {schema_number}.", schema_number=SCHEMA_NUMBER))
    for key in ("title", "notes"):
        if document.get(key) is not None:
            text_is_sound(key, document[key], notes)


def _read_group(here: str, tree: Tree, group: Mapping[object, object], notes: Notes) -> None:
    for key, raw in group.items():
        node = tree.get(key) if isinstance(key, str) else None
        path = f"{here}{key}" if isinstance(key, str) and len(key) <= 80 else f"{here}{shown(key)[1:-1]}"
        if node is None:
            _unknown_key(path, key, here, tree, notes)
        elif isinstance(node, Question):
            take_answer(path, node, raw, notes)
        elif isinstance(raw, Mapping):
            _read_group(f"{path}.", node, raw, notes)
        elif raw is not None:
            notes.fault(path, say("{raw} stands where a group of answers is wanted", raw=shown(raw)),
                        say("Write it as {form}.", form=f'{{"{next(iter(node))}": …}}'))


def _unknown_key(path: str, key: object, here: str, tree: Tree, notes: Notes) -> None:
    siblings = (*tree, *_HEAD) if not here else tuple(tree)
    guessing = isinstance(key, str) and len(notes.faults) < _MOST_GUESSES
    mend = mend_for(key, here, siblings) if guessing and isinstance(key, str) else say("Leave it out.")
    notes.fault(path, say("this is not a question that is asked"), mend)


def read_json(text: str | bytes) -> object:
    """Return the JSON in ``text``; raises CaseFaults for what is no JSON, too large, too deep or says a key twice."""
    try:
        if len(text) > LARGEST_JSON:
            raise _Refused(say("this is larger than {largest_json} MB", largest_json=LARGEST_JSON // 1_000_000),
                           say("Leave photos and logs out of it."))
        return _load(text.decode("utf-8-sig") if isinstance(text, bytes) else text.removeprefix("\ufeff"))
    except UnicodeDecodeError:
        problem: tuple[str, str] = (say("this is not text in UTF-8"), say("Save the file as UTF-8."))
    except json.JSONDecodeError as error:
        problem = (say("this is not JSON: {lower} at line {lineno}, column {colno}", lower=error.msg.lower(),
                       lineno=error.lineno, colno=error.colno),
                   say("Mend that place."))
    except RecursionError:
        problem = say("this has groups inside groups without end"), say("A case has four levels at most.")
    except _Refused as refusal:
        problem = refusal.problem, refusal.mend
    except ValueError:  # a whole number of thousands of digits
        problem = say("this holds a number that is far too long"), say("Check the numbers.")
    raise CaseFaults((Fault("", *problem),))


class _Refused(Exception):
    def __init__(self, problem: str, mend: str) -> None:
        super().__init__(problem)
        self.problem, self.mend = problem, mend


def _load(text: str) -> object:
    return json.loads(text, object_pairs_hook=_without_repeats, parse_constant=_no_number,
                      parse_float=_finite)


def _without_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
    group: dict[str, object] = {}
    for key, value in pairs:
        if key in group:
            raise _Refused(say("the key {key} stands twice in one group", key=shown(key)), say("Keep one of the two."))
        group[key] = value
    return group


def _finite(digits: str) -> float:
    number = float(digits)
    return number if math.isfinite(number) else _no_number(digits[:20])


def _no_number(name: str) -> NoReturn:
    raise _Refused(say("{name} is not a number that can be used", name=name), say("Write null where it is not known."))


def echo(path: str, raw: object) -> str:
    """Return what was typed beside what was understood: "4.3 in = 109.2 mm".

    Empty where there is nothing to say: no quantity, a fault, or a number already in the question's own unit.
    """
    question = QUESTIONS.get(path)
    value = raw.get("value") if isinstance(raw, Mapping) else raw
    if question is not None and question.trace:
        return trace_in_words(value)
    if question is None or question.kind != "quantity" or not isinstance(value, str):
        return ""
    try:
        reading = read_quantity(value, question.unit, further_spellings(path, question))
    except UnitProblem:
        return ""
    if reading.other is None and not reading.comma and reading.pint in (WANTED[question.unit].pint, "dimensionless"):
        return ""
    si, _ = settled(reading, question)
    return f"{' '.join(value.split())} = {format_quantity(si, question.unit)}{_remark(reading, question.unit)}"


def _remark(reading: Reading, unit: str) -> str:
    """Say what a reader could take otherwise: whose ounces, and what the pressure is counted from."""
    if reading.pint == "US_fluid_ounce" and "us" not in plain_spelling(reading.spelling):
        return " (US fluid ounces)"
    return " above the air outside" if unit == "bar" else ""
