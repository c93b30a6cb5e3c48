"""One answer: from what was typed to SI, spread and doubts, or to a fault that says what to do."""
from __future__ import annotations

import difflib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import get_args

from analysis.case import Answer, Doubt, Fault, Known, Value
from analysis.catalogue import Question
from analysis.unit_names import WANTED
from analysis.units import SHARES, Reading, UnitProblem, format_quantity, from_si, in_unit, read_quantity, spread_to_si

KNOWN: tuple[Known, ...] = get_args(Known)
"""How a value can be known, best first."""

FACTORS: dict[Known, float] = {"measured": 1.0, "documented": 1.0, "remembered": 3.0, "guessed": 6.0}
"""Common practice, no source: papers are about as good as careful reading, memory and guesses are much wider."""

LONGEST_TEXT = 20_000


@dataclass
class Notes:
    """What is collected while a document is read."""

    answers: dict[str, Answer] = field(default_factory=dict)
    unknown: set[str] = field(default_factory=set)
    doubts: list[Doubt] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, path: str, problem: str, mend: str) -> None:
        self.faults.append(Fault(path, problem, mend))

    def doubt(self, path: str, question: str) -> None:
        self.doubts.append(Doubt(path, question))


def shown(value: object) -> str:
    """Return a short, safe picture of something typed, for messages."""
    if isinstance(value, str):
        return f'"{value[:40]}…"' if len(value) > 40 else f'"{value}"'
    if isinstance(value, bool) or value is None:
        return json.dumps(value)
    if isinstance(value, (int, float)):
        return f"{value:g}" if abs(value) < 1e15 or isinstance(value, float) else "a very large number"
    if isinstance(value, (list, tuple)):
        return "a list"
    return "a group" if isinstance(value, Mapping) else "something that is not JSON"


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
            notes.doubt(path, f"{shown(value)} was given and marked as unknown. It is left out: which is right?")
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
            notes.fault(path, f"an answer has no part {shown(key)}", 'Use only "value" and "known".')
    known = raw.get("known", default_known(path))
    if known == "unknown":
        return raw.get("value"), None
    if "value" not in raw:
        notes.fault(path, 'the "value" is missing', 'Add it, or write {"known": "unknown"}.')
    for way in KNOWN:
        if known == way:
            return raw.get("value"), way
    notes.fault(path, f"{shown(known)} does not say how the value is known",
                f"Write one of {_listed((*KNOWN, 'unknown'))}.")
    return None, None


def _listed(values: tuple[str, ...]) -> str:
    return ", ".join(f'"{value}"' for value in values)


def _take_quantity(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    try:
        reading = read_quantity(raw, question.unit, further_spellings(path, question))
    except UnitProblem as problem:
        what = f"{shown(raw)}: " if isinstance(raw, str) and shown(raw) not in problem.problem else ""
        notes.fault(path, f"{what}{problem.problem}", problem.mend)
        return
    si, even = settled(reading, question)
    if fit(si, question) == 0:
        notes.fault(path, *_impossible(reading, si, question))
        return
    if fit(si, question) == 1:
        notes.doubt(path, _unusual(reading, si, question))
    if even:
        notes.doubt(path, f"{shown(raw)} was read as {format_quantity(si, question.unit)}. Is that what was meant?")
    notes.answers[path] = Answer(path, si, _sd(si, question, known), known, str(raw))


def further_spellings(path: str, question: Question) -> dict[str, str]:
    """Return what may follow a number in this field beside its units: turns, clicks, coils, %, g, mm/turn."""
    key = path.rpartition(".")[2]
    if key.endswith("_per_turn"):
        return {"mm/turn": "millimeter", "in/turn": "inch", "mm/rev": "millimeter"}
    if question.unit:
        return {}
    if key.endswith("_share"):
        return SHARES
    words = [word for word in ("turn", "click", "coil") if word in key] + (["g"] if key.endswith("_g") else [])
    return {spelling: "dimensionless" for word in words for spelling in (word, f"{word}s")}


def fit(si: float, question: Question) -> int:
    """Return 2 for a usual value, 1 for a possible one, 0 for an impossible one."""
    value = from_si(si, question.unit)
    slack = 1e-9 * max(1.0, abs(value))

    def inside(limits: tuple[float, float] | None) -> bool:
        return limits is None or limits[0] - slack <= value <= limits[1] + slack

    if not inside(question.possible):
        return 0
    return 2 if inside(question.usual) else 1


def settled(reading: Reading, question: Question) -> tuple[float, bool]:
    """Return the SI value meant, and whether "1,250" could as well have meant the other reading.

    A comma before exactly three digits is read in the way that fits the question better; a point is read as a
    decimal point unless that is impossible and the other reading is usual.
    """
    if reading.other is None:
        return reading.si, False
    first, second = fit(reading.si, question), fit(reading.other, question)
    if reading.comma:
        return (reading.other, False) if second > first else (reading.si, first == second)
    return (reading.other, False) if first == 0 and second == 2 else (reading.si, False)


def _range(limits: tuple[float, float] | None, unit: str) -> str:
    if limits is None:
        return "any"
    symbol = WANTED[unit].symbol
    return f"{limits[0]:g} to {limits[1]:g}{symbol if symbol == '°' else ' ' + symbol}".rstrip()


def _impossible(reading: Reading, si: float, question: Question) -> tuple[str, str]:
    limits = _range(question.possible, question.unit)
    return (f"{format_quantity(si, question.unit)} is outside what is possible ({limits})",
            _slip(reading, question) or "Check the number and its unit.")


def _unusual(reading: Reading, si: float, question: Question) -> str:
    usual = _range(question.usual, question.unit)
    asked = _slip(reading, question) or "Is it right?"
    return f"{format_quantity(si, question.unit)} is unusual ({usual} is usual). {asked}"


def _slip(reading: Reading, question: Question) -> str:
    """Ask for the unit in which the same number would be usual: a forgotten or mistaken unit."""
    number = reading.number
    if not question.unit:
        share = question.path.endswith("_share") and not reading.spelling and fit(number / 100, question) == 2
        return f"Did you mean {number:g} %?" if share else ""
    for spelling in (*WANTED[question.unit].others, WANTED[question.unit].symbol):
        meant = in_unit(number, spelling, question.unit)
        if spelling != (reading.spelling or WANTED[question.unit].symbol) and _is_usual(meant, question):
            shown_as = f"{number:g}{spelling}" if spelling == "°" else f"{number:g} {spelling}"
            return f"Did you mean {shown_as}? That would be {_plain(meant, question.unit)}."
    return ""


def _is_usual(value: float, question: Question) -> bool:
    return question.usual is not None and question.usual[0] <= value <= question.usual[1]


def _plain(value: float, unit: str) -> str:
    return f"{value:.4g}{_symbol_tail(unit)}"


def _symbol_tail(unit: str) -> str:
    symbol = WANTED[unit].symbol
    return symbol if symbol == "°" else f" {symbol}"


def _sd(si: float, question: Question, known: Known) -> float:
    spread = question.spread
    in_question = math.hypot(spread.absolute, spread.relative * abs(from_si(si, question.unit)))
    return spread_to_si(in_question * FACTORS[known], question.unit)


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
        if typed in (_folded(choice.value), _folded(choice.title)):
            return choice.value
    return None


def _not_a_choice(path: str, question: Question, raw: object, notes: Notes) -> None:
    values = tuple(choice.value for choice in question.choices)
    near = difflib.get_close_matches(_folded(raw[:80]), values, 1) if isinstance(raw, str) else []
    guess = f'Did you mean "{near[0]}"? ' if near else ""
    notes.fault(path, f"{shown(raw)} is not one of the answers", f"{guess}Use one of {_listed(values)}.")


def _take_choice(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    value = _choice(raw, question)
    if value is None:
        _not_a_choice(path, question, raw, notes)
    else:
        _keep(path, value, known, raw, notes)


def _take_many(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    if not isinstance(raw, (list, tuple, str)):
        notes.fault(path, f"{shown(raw)} is not a list of answers", 'Write a list such as ["…", "…"].')
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
        notes.fault(path, f"{shown(raw)} is neither yes nor no", "Write true or false, or null where it is not known.")


def _take_text(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    if text_is_sound(path, raw, notes) and isinstance(raw, str) and raw.strip():
        _keep(path, raw, known, raw, notes)


def text_is_sound(path: str, raw: object, notes: Notes) -> bool:
    """Note a fault where ``raw`` is no text that can be kept; return whether it is."""
    if not isinstance(raw, str):
        notes.fault(path, f"{shown(raw)} is not text", "Put the words in quotation marks.")
    elif len(raw) > LONGEST_TEXT:
        notes.fault(path, f"this text has {len(raw)} characters", f"Shorten it to {LONGEST_TEXT} at most.")
    elif "\0" in raw or any("\ud800" <= character <= "\udfff" for character in raw):
        notes.fault(path, "this text holds a character that cannot be kept", "Type it anew without odd characters.")
    else:
        return True
    return False


def _keep(path: str, value: Value, known: Known, typed: object, notes: Notes) -> None:
    notes.answers[path] = Answer(path, value, 0.0, known, str(typed))


_TAKERS = {
    "quantity": _take_quantity, "choice": _take_choice, "many": _take_many, "yes_no": _take_yes_no,
    "text": _take_text,
}
