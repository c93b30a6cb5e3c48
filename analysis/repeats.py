"""One thing read several times: the mean is the answer, and the readings themselves show how far to trust it."""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.case import Answer, Known
from analysis.catalogue import QUESTIONS, Question
from analysis.notes import Notes
from analysis.quantities import further_spellings, settled, take_quantity
from analysis.say import say
from analysis.units import UnitProblem, format_quantity, read_quantity

MOST_READINGS = 10


@dataclass(frozen=True)
class Repeats:
    """Mean and spread of several readings, in words with their unit; ``count`` readings went in."""

    count: int
    mean: str
    spread: str


def mean_and_spread(readings: Sequence[float]) -> tuple[float, float]:
    """Return mean and standard deviation, ``s = √(Σ(xᵢ − x̄)² / (n − 1))``; a single reading shows no spread."""
    n = len(readings)
    mean = math.fsum(readings) / n
    if n == 1:
        return mean, 0.0
    return mean, math.sqrt(math.fsum((x - mean) ** 2 for x in readings) / (n - 1))


def sd_of_mean(sd_each: float, readings: Sequence[float]) -> float:
    """Return how far the mean may be off: ``max(sd, s/√n)``.

    ``sd_each`` is the error of one careful reading.  Much of it stays the same from one reading to the next, such as
    where the tape was held, so no number of readings makes the mean surer than that; readings that lie further apart
    make it less sure.
    """
    return max(sd_each, mean_and_spread(readings)[1] / math.sqrt(len(readings)))


def take_readings(path: str, question: Question, raw: object, known: Known, notes: Notes) -> None:
    """Put one reading, or the mean of a list of them, into ``notes``; each reading is judged by itself."""
    if not isinstance(raw, (list, tuple)):
        take_quantity(path, question, raw, known, notes)
    elif question.repeats < 2 or not 0 < len(raw) <= MOST_READINGS:
        notes.fault(path, say("one number is asked for here, not a list") if question.repeats < 2 else
                    say("this list has {number} readings", number=len(raw)),
                    say("Write one number.") if question.repeats < 2 else
                    say("Give 1 to {most} readings.", most=MOST_READINGS))
    else:
        _take_mean(path, question, raw, known, notes)


def _take_mean(path: str, question: Question, raw: Sequence[object], known: Known, notes: Notes) -> None:
    each = Notes()
    found = []
    for one in raw:
        take_quantity(path, question, one, known, each)
        found += [each.answers.pop(path)] if path in each.answers else []
    notes.faults += each.faults
    notes.doubts += dict.fromkeys(each.doubts)
    if not each.faults:
        readings = [float(answer.value) for answer in found if isinstance(answer.value, float)]
        sd = sd_of_mean(max(answer.sd for answer in found), readings)
        notes.answers[path] = Answer(path, mean_and_spread(readings)[0], sd, known,
                                     "; ".join(answer.typed for answer in found))


def repeats_of(path: str, value: object) -> Repeats | None:
    """Return what several readings of one question come to, for the person who took them.

    None for fewer than two readings, or where one of them cannot be read.
    """
    question = QUESTIONS.get(path)
    typed = [str(one) for one in value if str(one).strip()] if isinstance(value, (list, tuple)) else []
    if question is None or question.kind != "quantity" or len(typed) < 2:
        return None
    try:
        read = [settled(read_quantity(one, question.unit, further_spellings(path, question)), question)[0]
                for one in typed]
    except UnitProblem:
        return None
    mean, spread = mean_and_spread(read)
    return Repeats(len(read), format_quantity(mean, question.unit), _difference(spread, question.unit))


def _difference(spread: float, unit: str) -> str:
    """Write a spread with its unit; a temperature's degrees are differences here."""
    if unit == "degC":
        return f"{spread:.2g} °C"
    return format_quantity(float(f"{spread:.2g}"), unit)
