"""One typed quantity: to SI with its spread, or asked back, or refused with the likely slip of units."""
from __future__ import annotations

import math

from analysis.case import Answer, Known
from analysis.catalogue import Question
from analysis.notes import Notes, shown
from analysis.say import one_after_another, say
from analysis.unit_names import WANTED
from analysis.units import SHARES, Reading, UnitProblem, format_quantity, from_si, in_unit, read_quantity, spread_to_si

FACTORS: dict[Known, float] = {"measured": 1.0, "documented": 1.0, "remembered": 3.0, "guessed": 6.0}
"""Common practice, no source: papers are about as good as careful reading, memory and guesses are much wider."""


def take_quantity(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    """Put the quantity ``raw`` into ``notes`` in SI, or the fault in it; what is unusual is asked back."""
    try:
        reading = read_quantity(raw, question.unit, further_spellings(path, question))
    except UnitProblem as problem:
        bare = not isinstance(raw, str) or shown(raw) in problem.problem
        notes.fault(path, problem.problem if bare else
                    say("{typed}: {problem}", typed=shown(raw), problem=problem.problem), problem.mend)
        return
    si, even = settled(reading, question)
    how_usual = fit(si, question)
    if how_usual == 0:
        notes.fault(path, *_impossible(reading, si, question))
        return
    if how_usual == 1:
        notes.doubt(path, _unusual(reading, si, question))
    if even:
        notes.doubt(path, say("{raw} was read as {si}. Is that what was meant?", raw=shown(raw),
                              si=format_quantity(si, question.unit)))
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
    assert limits is not None, "nothing is refused or asked back without a range"
    symbol = WANTED[unit].symbol
    return say("{low} to {high}", low=f"{limits[0]:g}",
               high=f"{limits[1]:g}{symbol if symbol == '°' else ' ' + symbol}".rstrip())


def _impossible(reading: Reading, si: float, question: Question) -> tuple[str, str]:
    limits = _range(question.possible, question.unit)
    return (say("{value} is outside what is possible ({limits})", value=format_quantity(si, question.unit),
                limits=limits),
            _slip(reading, question) or say("Check the number and its unit."))


def _unusual(reading: Reading, si: float, question: Question) -> str:
    usual = _range(question.usual, question.unit)
    asked = _slip(reading, question) or say("Is it right?")
    return one_after_another([
        say("{value} is unusual ({usual} is usual).", value=format_quantity(si, question.unit), usual=usual), asked])


def _slip(reading: Reading, question: Question) -> str:
    """Ask for the unit in which the same number would be usual: a forgotten or mistaken unit."""
    number = reading.number
    if not question.unit:
        share = question.path.endswith("_share") and not reading.spelling and fit(number / 100, question) == 2
        return say("Did you mean {number} %?", number=f"{number:g}") if share else ""
    meant = other_unit(reading, question)
    if meant is None:
        return ""
    spelling, value = meant
    shown_as = f"{number:g}{spelling}" if spelling == "°" else f"{number:g} {spelling}"
    return say("Did you mean {shown_as}? That would be {value}.", shown_as=shown_as,
               value=_plain(value, question.unit))


OF_PEOPLE = ("rider.mass_kg", "use.pillion_kg")
"""Masses that are told in stone; nobody weighs a bike in it."""


def other_unit(reading: Reading, question: Question) -> tuple[str, float] | None:
    """Return the unit in which the same number would be usual, and the value in the question's own unit."""
    own = WANTED[question.unit].symbol
    others = [one for one in WANTED[question.unit].others if one != "st" or question.path in OF_PEOPLE]
    for spelling in (*others, own):
        meant = in_unit(reading.number, spelling, question.unit)
        if spelling != (reading.spelling or own) and _is_usual(meant, question):
            return spelling, meant
    return None


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
