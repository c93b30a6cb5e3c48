"""One typed quantity: to SI with its spread, or asked back, or refused with the likely slip of units."""
from __future__ import annotations

import math

from analysis.case import Answer, Known
from analysis.catalogue import Question
from analysis.notes import Notes, shown
from analysis.unit_names import WANTED
from analysis.units import SHARES, Reading, UnitProblem, format_quantity, from_si, in_unit, read_quantity, spread_to_si

FACTORS: dict[Known, float] = {"measured": 1.0, "documented": 1.0, "remembered": 3.0, "guessed": 6.0}
"""Common practice, no source: papers are about as good as careful reading, memory and guesses are much wider."""


def take_quantity(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    """Put the quantity ``raw`` into ``notes`` in SI, or the fault in it; what is unusual is asked back."""
    try:
        reading = read_quantity(raw, question.unit, further_spellings(path, question))
    except UnitProblem as problem:
        what = f"{shown(raw)}: " if isinstance(raw, str) and shown(raw) not in problem.problem else ""
        notes.fault(path, f"{what}{problem.problem}", problem.mend)
        return
    si, even = settled(reading, question)
    how_usual = fit(si, question)
    if how_usual == 0:
        notes.fault(path, *_impossible(reading, si, question))
        return
    if how_usual == 1:
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
