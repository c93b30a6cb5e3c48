"""One answer: from what was typed to SI, spread and doubts, or to a fault that says what to do."""
from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import get_args

from analysis.case import Answer, Known, Value
from analysis.catalogue import Question
from analysis.notes import Notes, shown, text_is_sound
from analysis.repeats import take_readings
from analysis.say import one_after_another, say
from analysis.tables import read_table
from analysis.trace_answer import as_trace_text, read_trace_pairs
from analysis.units import UnitProblem

KNOWN: tuple[Known, ...] = get_args(Known)
"""How a value can be known, best first."""


def default_known(path: str) -> Known:
    """Return how a bare value is taken to be known: bench results are measured, the rest is from papers."""
    return "measured" if path.startswith("bench.") else "documented"


def take_answer(path: str, question: Question, raw: object, notes: Notes) -> None:
    """Put the answer ``raw`` at ``path`` into ``notes``, as answer, unknown or fault."""
    before = len(notes.faults)
    value, known = _unwrapped(path, raw, notes)
    if len(notes.faults) > before:
        return
    if value is None or known is None or _says_unknown(question, value):
        notes.unknown.add(path)
        if value is not None and known is None and not _says_unknown(question, value):
            notes.doubt(path, say("{value} was given and marked as unknown. It is left out: which is right?",
                                  value=shown(value)))
        return
    _TAKERS[question.kind](path, question, value, known, notes)


def _says_unknown(question: Question, value: object) -> bool:
    return question.kind != "text" and isinstance(value, str) and value.strip().casefold() == "unknown"


def _unwrapped(path: str, raw: object, notes: Notes) -> tuple[object, Known | None]:
    """Return the value and how it is known (``None``: unknown) out of a bare or wrapped answer."""
    if not isinstance(raw, Mapping):
        return raw, default_known(path)
    for key in raw:
        if key not in ("value", "known"):
            notes.fault(path, say("an answer has no part {key}", key=shown(key)),
                        say('Use only "value" and "known".'))
    known = raw.get("known", default_known(path))
    if known == "unknown":
        return raw.get("value"), None
    if "value" not in raw:
        notes.fault(path, say('the "value" is missing'),
                    say("Add it, or write {form}.", form='{"known": "unknown"}'))
    for way in KNOWN:
        if known == way:
            return raw.get("value"), way
    notes.fault(path, say("{known} does not say how the value is known", known=shown(known)),
                say("Write one of {listed}.", listed=_listed((*KNOWN, "unknown"))))
    return None, None


def _listed(values: tuple[str, ...]) -> str:
    return ", ".join(f'"{value}"' for value in values)


def _folded(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").replace("-", " ").split())


def _choice(raw: object, question: Question) -> str | None:
    """Return the choice meant by ``raw``: its value, in any case and with ``_`` for a space, or its title."""
    if isinstance(raw, bool):
        raw = "yes" if raw else "no"
    if not isinstance(raw, str):
        return None
    typed = _folded(raw)
    for choice in question.choices:
        if raw == choice.value or typed in (_folded(choice.value), _folded(choice.title)):
            return choice.value
    return None


def _not_a_choice(path: str, question: Question, raw: object, notes: Notes) -> None:
    values = tuple(choice.value for choice in question.choices)
    near = difflib.get_close_matches(_folded(raw[:80]), values, 1) if isinstance(raw, str) else []
    guess = say('Did you mean "{meant}"?', meant=near[0]) if near else ""
    notes.fault(path, say("{raw} is not one of the answers", raw=shown(raw)),
                one_after_another([guess, say("Use one of {values}.", values=_listed(values))]))


def _take_choice(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    value = _choice(raw, question)
    if value is None:
        _not_a_choice(path, question, raw, notes)
    else:
        _keep(path, value, known, raw, notes)


def _take_many(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    if not isinstance(raw, (list, tuple, str)):
        notes.fault(path, say("{raw} is not a list of answers", raw=shown(raw)),
                    say('Write a list such as ["…", "…"].'))
        return
    if not isinstance(raw, str) and len(raw) > 4 * len(question.choices):
        notes.fault(path, say("this list has {raw} answers", raw=len(raw)),
                    say("There are {choices}: give each once.", choices=len(question.choices)))
        return
    picked: dict[str, None] = {}
    sound = True
    for item in [raw] if isinstance(raw, str) else raw:
        value = _choice(item, question)
        if value is None:
            sound = False
            _not_a_choice(path, question, item, notes)
        else:
            picked[value] = None
    if sound:
        _keep(path, tuple(picked), known, ", ".join(picked), notes)


def _take_yes_no(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    typed = raw.strip().casefold() if isinstance(raw, str) else raw
    if typed is True or typed == "yes":
        _keep(path, True, known, "yes", notes)
    elif typed is False or typed == "no":
        _keep(path, False, known, "no", notes)
    else:
        notes.fault(path, say("{raw} is neither yes nor no", raw=shown(raw)),
                    say("Write true or false, or null where it is not known."))


def _take_text(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    if text_is_sound(path, raw, notes) and isinstance(raw, str) and raw.strip():
        _keep(path, raw, known, raw, notes)


def _take_table(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    if question.trace:
        _take_trace(path, raw, known, notes)
        return
    if not text_is_sound(path, raw, notes) or not isinstance(raw, str) or not raw.strip():
        return
    try:
        read_table(raw, question.unit)
    except UnitProblem as problem:
        notes.fault(path, problem.problem, problem.mend)
    else:
        _keep(path, raw, known, raw, notes)


def _take_trace(path: str, raw: object, known: Known, notes: Notes) -> None:
    if raw in ("", []):
        return
    try:
        text = as_trace_text(read_trace_pairs(raw))
    except UnitProblem as problem:
        notes.fault(path, problem.problem, problem.mend)
    else:
        _keep(path, text, known, text, notes)


def _keep(path: str, value: Value, known: Known, typed: object, notes: Notes) -> None:
    notes.answers[path] = Answer(path, value, 0.0, known, str(typed))


_TAKERS = {
    "quantity": take_readings, "choice": _take_choice, "many": _take_many, "yes_no": _take_yes_no,
    "text": _take_text, "table": _take_table,
}
