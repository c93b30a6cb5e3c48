"""Numbers and odds in words, in one place, so that the desk, the letter, the figures and the sheet say them alike."""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.words import digits as with_decimal_mark
from reports.bound import clean, written
from reports.tongue import tell

NBSP = "\u00a0"
UNKNOWN = _("not known")

SETS = ("found", "book", "advised")
SET_TITLES = {"found": _("As found"), "book": _("By the book"), "advised": _("As advised")}

KNOWN_WORDS = {
    "measured": _("you measured it"),
    "documented": _("from papers"),
    "remembered": _("from memory"),
    "guessed": _("a guess"),
    "unknown": _("not known"),
}

LIMITS = {
    "hydraulic lock": _("the oil fills the leg and it cannot go further"),
    "air ramp": _("the squeezed air holds it up early"),
    "coil bind": _("the coils of the spring touch"),
    "spring": _("spring and air carry the load there"),
    "full stroke": _("it can use all of its stroke"),
}

SYMBOLS = {"mm**2": "mm²", "degree": "°", "degC": "°C"}
"""Units that people write otherwise than the catalogue spells them."""

DIGITS = {"mm": 0, "ml": 0, "N": 0, "kg": 0, "bar": 2, "N/mm": 2, "%": 0, "°": 1, "turns": 1}
"""Decimals shown per unit: no finer than a careful person can measure."""


def odds_in_words(probability: float) -> str:
    """Return 0.91 as "about 9 in 10"; the ends are said as bounds, for nothing here is ever certain."""
    if not 0 <= probability <= 1:
        raise ValueError(f"a probability lies from 0 to 1, not {probability}")
    return written(probability, _odds_in_words(probability), "odds in words")


def _odds_in_words(probability: float) -> str:
    if probability < 0.01:
        return tell("less than 1 in 100")
    if probability > 0.99:
        return tell("more than 99 in 100")
    if probability < 0.055 or probability > 0.945:
        return tell("about {probability} in 100", probability=round(probability * 100))
    return tell("about {probability} in 10", probability=round(probability * 10))


def percent(probability: float) -> str:
    """Return 0.914 as "91 %", never a round 0 or 100."""
    if probability < 0.01:
        text = tell("under 1{nbsp}%", nbsp=NBSP)
    elif probability > 0.99:
        text = tell("over 99{nbsp}%", nbsp=NBSP)
    else:
        text = f"{probability * 100:.0f}{NBSP}%"
    return written(probability, text, "percent")


def odds(probability: float) -> str:
    """Return the odds in words and percent: "about 9 in 10, 91 %"; words that count in hundreds say it already."""
    words = odds_in_words(probability)
    return written(probability, words if "100" in clean(words) else f"{words}, {percent(probability)}", "odds")


def number(value: float | None, digits: int = 0) -> str:
    """Return a number as people write it: a true minus sign, no minus on a zero, "not known" where there is none."""
    if value is None or not math.isfinite(value):
        return str(UNKNOWN)
    text = f"{abs(value):.{digits}f}"
    sign = "−" if value < 0 and float(text) != 0 else ""
    return written(value, f"{sign}{with_decimal_mark(text)}", f"{digits} decimals")


def quantity(value: float | None, unit: str, digits: int | None = None) -> str:
    """Return "80 mm"; the unit decides the decimals unless ``digits`` does."""
    places = DIGITS.get(unit, 0) if digits is None else digits
    text = number(value, places)
    if text == UNKNOWN or not unit:
        return text
    return written(value, f"{text}{NBSP}{SYMBOLS.get(unit, unit)}", f"{unit}, {places} decimals")


def exact(value: float | None, unit: str) -> str:
    """Return a quantity with as many decimals as it has, three at most: "0.42", "1.25 mm"."""
    digits = 0 if value is None or not math.isfinite(value) else next(
        places for places in range(4) if places == 3 or abs(round(value, places) - value) <= 1e-3 * abs(value))
    return quantity(value, unit, digits)


def span(low: float | None, high: float | None, unit: str, digits: int | None = None) -> str:
    """Return "74 to 87 mm", or the one number where both ends read the same."""
    first, last = quantity(low, unit, digits), quantity(high, unit, digits)
    if clean(first) == clean(last):
        return first
    if UNKNOWN in (first, last):
        return str(UNKNOWN)
    return tell("{low} to {high}", low=number(low, DIGITS.get(unit, 0) if digits is None else digits), high=last)


def with_span(value: float | None, ends: Sequence[float] | None, unit: str) -> str:
    """Return "80 mm (74 to 87 mm)" where the ends are known."""
    text = quantity(value, unit)
    if text == UNKNOWN or not ends:
        return text
    return f"{text} ({span(ends[0], ends[1], unit)})"


def limit_words(limit: str | None) -> str:
    """Return what ends the usable stroke, in a clause."""
    return str(LIMITS.get(limit, limit) if limit else UNKNOWN)


def at(document: Mapping[str, object] | None, *keys: str) -> object:
    """Return what lies under ``keys``, or None where any step is missing: findings may lack whole parts."""
    here: object = document
    for key in keys:
        if not isinstance(here, Mapping):
            return None
        here = here.get(key)
    return here


def likely_causes(findings: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Return the causes worth showing: those of 1 % and more, and the first three in any case."""
    return [cause for place, cause in enumerate(findings.get("causes") or ())
            if place < 3 or cause["probability"] >= 0.01]


def sentence(text: str) -> str:
    """Return ``text`` with a capital at the start and a stop at the end."""
    text = text.strip()
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?" else text + "."


def listed(items: Sequence[str]) -> str:
    """Return "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return tell("{first} and {last}", first=", ".join(items[:-1]), last=items[-1])
