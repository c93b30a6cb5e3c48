"""The case document as JSON Schema 2020-12, made from the catalogue."""
from __future__ import annotations

from typing import Any

from analysis.answers import KNOWN
from analysis.catalogue import Question
from analysis.document import SCHEMA_NUMBER, TREE, Tree
from analysis.notes import LONGEST_TEXT
from analysis.repeats import MOST_READINGS as MOST_READINGS_EACH
from analysis.tables import LONGEST_TABLE, TABLE_FORM
from analysis.trace_answer import MOST_READINGS, TRACE_FORM
from analysis.unit_names import WANTED
from analysis.units import LONGEST

Schema = dict[str, Any]

_TEXT: Schema = {"type": "string", "maxLength": LONGEST_TEXT}
_LEAD = (
    'One case. A value is a number in the unit at the end of its key, a text with its own unit ("4.3 in", '
    '"0,95 kgf/mm"), or a group with "value" and "known". null says: asked, and not known. A bare value counts as '
    '"measured" under "bench" and as "documented" (from papers) everywhere else. A pressure is a gauge pressure.'
)


def case_schema() -> Schema:
    """Return the JSON Schema of a case document.

    It says the form of every answer.  A text with a unit is checked only for its length, and answers are not compared
    with each other: ``parse_case`` does both.
    """
    head: Schema = {
        "schema": {"const": SCHEMA_NUMBER, "description": "The number of this form of document."},
        "title": {"anyOf": [_TEXT, {"type": "null"}], "title": "A name for the case"},
        "notes": {"anyOf": [_TEXT, {"type": "null"}], "title": "Anything else"},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Suspension case",
        "description": _LEAD,
        "type": "object",
        "properties": {**head, **_properties(TREE)},
        "additionalProperties": False,
        "$defs": {
            "known": {"enum": [*KNOWN], "description": "How the value is known."},
            "unknown": {
                "description": "Asked, and not known.",
                "anyOf": [
                    {"enum": [None, "unknown"]},
                    {"type": "object", "required": ["known"], "additionalProperties": False,
                     "properties": {"known": {"const": "unknown"}, "value": True}},
                ],
            },
            "quantity_text": {"type": "string", "minLength": 1, "maxLength": LONGEST,
                              "description": "A number with its unit."},
        },
    }


def _properties(tree: Tree) -> Schema:
    return {key: _answer(node) if isinstance(node, Question) else _group(node) for key, node in tree.items()}


def _group(tree: Tree) -> Schema:
    return {"type": ["object", "null"], "properties": _properties(tree), "additionalProperties": False}


def _answer(question: Question) -> Schema:
    value = _VALUES[question.kind](question)
    wrapped: Schema = {
        "type": "object", "required": ["value"], "additionalProperties": False,
        "properties": {"value": {"anyOf": [value, {"type": "null"}]}, "known": {"$ref": "#/$defs/known"}},
    }
    schema: Schema = {"title": question.title, "anyOf": [value, wrapped, {"$ref": "#/$defs/unknown"}]}
    description = " ".join(part for part in (question.help, _ranges(question)) if part)
    return {**schema, "description": description} if description else schema


def _ranges(question: Question) -> str:
    if question.possible is None:
        return ""
    unit = WANTED[question.unit].symbol
    limits = f"From {question.possible[0]:g} to {question.possible[1]:g} {unit}".rstrip()
    usual = f"; usually {question.usual[0]:g} to {question.usual[1]:g}" if question.usual else ""
    return f"{limits}{usual}."


def _quantity(question: Question) -> Schema:
    assert question.possible is not None, "every number has its possible range"
    low, high = question.possible
    number: Schema = {"type": "number", "minimum": low, "maximum": high}
    forms: list[Schema] = [number, {"$ref": "#/$defs/quantity_text"}]
    if question.repeats < 2:
        return {"anyOf": forms}
    several: Schema = {"type": "array", "items": {"anyOf": forms}, "minItems": 1, "maxItems": MOST_READINGS_EACH}
    return {"anyOf": [*forms, {**several, "description": "Several readings of the same thing; their mean counts."}]}


def _choice(question: Question) -> Schema:
    return {"enum": [choice.value for choice in question.choices],
            "description": "; ".join(f"{choice.value}: {choice.title}" for choice in question.choices)}


def _many(question: Question) -> Schema:
    one = _choice(question)
    return {"anyOf": [{"type": "array", "items": one}, {"enum": one["enum"]}]}


def _yes_no(question: Question) -> Schema:
    return {"enum": [True, False, "yes", "no"]}


def _text(question: Question) -> Schema:
    return _TEXT


def _table(question: Question) -> Schema:
    if question.trace:
        return _trace()
    return {"type": "string", "minLength": 1, "maxLength": LONGEST_TABLE, "description": TABLE_FORM}


def _trace() -> Schema:
    pair: Schema = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
    return {"anyOf": [{"type": "array", "items": pair, "maxItems": MOST_READINGS}, _TEXT], "description": TRACE_FORM}


_VALUES = {"quantity": _quantity, "choice": _choice, "many": _many, "yes_no": _yes_no, "text": _text,
            "table": _table}
