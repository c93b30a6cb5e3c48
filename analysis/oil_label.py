"""What stands on a bottle of oil, and whether it is a viscosity at all."""
from __future__ import annotations

import re
from dataclasses import dataclass

from analysis.say import say
from analysis.viscosity import CST

GRADES = (2.2, 3.2, 4.6, 6.8, 10.0, 15.0, 22.0, 32.0, 46.0, 68.0, 100.0, 150.0, 220.0, 320.0, 460.0, 680.0, 1000.0)
"""Middles of the ISO 3448 grades at 40 °C in mm²/s; a grade's name is its middle, rounded."""
GRADE_SHARE = 0.10
"""How far an oil may lie from the middle of its grade."""

_NUMBER = r"(\d{1,4}(?:[.,]\d{1,3})?)"
_GRADE = re.compile(rf"\b(?:ISO\s*-?\s*)?(?:VG|V\.G\.)\s*-?\s*{_NUMBER}|\bISO\s*-?\s*{_NUMBER}", re.IGNORECASE)
_PLAIN = re.compile(
    rf"(?<![\d.,]){_NUMBER}\s*(?:cSt|mm²/s|mm2/s|mm\^2/s)(?:\s*(?:@|at|bei|/)?\s*(?P<at>\d{{2,3}})\s*°?\s*C?)?",
    re.IGNORECASE)
_WEIGHT = re.compile(
    r"\b\d{1,2}(?:[.,]5)?\s*-?\s*(?:W(?:\s*-?\s*\d{1,2})?|wt\.?|weight)\b|\bSAE\s*\d{1,2}",
    re.IGNORECASE)


@dataclass(frozen=True)
class Label:
    """A label as read: the viscosity at 40 °C in m²/s with its least and most, or None, and why in words."""

    text: str
    nu_40: float | None
    low: float | None
    high: float | None
    words: str


def grade_limits(grade: float) -> tuple[float, float] | None:
    """Return (least, most) viscosity at 40 °C in m²/s of an ISO 3448 grade, ±10 % of its middle; None: no such grade.

    >>> grade_limits(32)
    (2.88e-05, 3.52e-05)
    """
    middle = next((m for m in GRADES if grade == m or grade == round(m)), None)
    if middle is None:
        return None
    return round(middle * (1 - GRADE_SHARE), 4) * CST, round(middle * (1 + GRADE_SHARE), 4) * CST


def grade_of(nu_40: float) -> int | None:
    """Return the ISO 3448 grade of a viscosity at 40 °C in m²/s; None for an oil between two grades."""
    for middle in GRADES:
        if abs(nu_40 / CST - middle) <= GRADE_SHARE * middle * (1 + 1e-9):
            return round(middle)
    return None


def read_label(text: str) -> Label:
    """Return what a label as printed says about viscosity: mm²/s at 40 °C, or an ISO grade, or nothing.

    A "W" or "weight" number is kept as the maker's own name and never taken for a viscosity.
    """
    text = " ".join(text.split())[:200]
    found = _PLAIN.search(text)
    if found is not None and found["at"] in (None, "40"):
        nu = float(found[1].replace(",", ".")) * CST
        template = ("The label says {nu} mm²/s taken to be at 40 °C." if found["at"] is None else
                    "The label says {nu} mm²/s at 40 °C.")
        return Label(text, nu, nu, nu, say(template, nu=f"{nu / CST:g}"))
    named = _GRADE.search(text)
    if named is not None:
        return _graded(text, float((named[1] or named[2]).replace(",", ".")))
    if _WEIGHT.search(text):
        return Label(text, None, None, None, (
            say("\"{text}\" is the maker's own name, not a viscosity: fork oils with the same W or weight number "
                "differ by half and more. Look on the bottle or in the oil's data sheet for mm²/s (cSt) at 40 °C.",
                text=text)))
    return Label(text, None, None, None, (
        say("\"{text}\" names no viscosity. Look for mm²/s (cSt) at 40 °C in the oil's data sheet.", text=text)))


def _graded(text: str, grade: float) -> Label:
    limits = grade_limits(grade)
    if limits is None:
        return Label(text, None, None, None, (
            say("There is no ISO viscosity grade {grade}; the grades near it are {grade_2}. Check the label.",
                grade=f"{grade:g}", grade_2=_near(grade))))
    low, high = limits
    return Label(text, (low + high) / 2, low, high,
                 say("ISO grade {grade}: {low} to {high} mm²/s at 40 °C.", grade=f"{grade:g}", low=f"{low / CST:g}",
                     high=f"{high / CST:g}"))


def _near(grade: float) -> str:
    near = sorted(sorted(GRADES, key=lambda m: abs(m - grade))[:2])
    return " and ".join(f"{round(m)}" for m in near)
