"""Units exist only here, at the door: text or number in, SI float out, and back again.

Conversions are pint's.  What a person typed is never given to pint: the number is read by a strict pattern and the
unit is looked up by its spelling, so that nothing typed is ever evaluated.  A gauge pressure stays a gauge pressure.
"""
from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import pint

from analysis.numerals import LARGEST, Numeral, read_numeral, tidy
from analysis.say import listed, one_after_another, say
from analysis.unit_names import UNITS, WANTED, Unit, plain_spelling

LONGEST = 60
"""A number with its unit needs no more characters."""

SHARES = {"%": "percent", "percent": "percent", "per cent": "percent", "pct": "percent"}
_TWO_IN_ONE = re.compile(r"""[^\W\d_/'"]*['"]?\s?[0-9]+(?:[.,][0-9]+)?\s?(?:[^\W\d_]+|['"])\.?""")
_OUNCES = (say("Ounces of oil are written fl oz (US) or imp fl oz; grams of oil have to be divided by the oil's "
               "density, about 0.86."))
_MEASURES = {
    "length": say("a length"), "area": say("an area"), "volume": say("a volume"), "mass": say("a mass"),
    "force": say("a force"), "spring rate": say("a spring rate"), "pressure": say("a pressure"),
    "absolute pressure": say("an absolute pressure"), "angle": say("an angle"), "temperature": say("a temperature"),
    "viscosity": say("a viscosity"), "time": say("a time"), "number": say("a number"), "share": say("a share"),
}
_HINTS = {
    ("mass", "force"): say("A scale's reading used as a force is written kgf or lbf."),
    ("mass", "spring rate"): say("A \"0.95 kg\" spring is written 0.95 kgf/mm."),
    ("mass", "volume"): _OUNCES,
    ("absolute pressure", "pressure"): say("Take the air outside off, about 1.013 bar or 14.7 psi."),
    ("force", "mass"): say("The mass that a scale shows is written kg or lb."),
}


class UnitProblem(ValueError):
    """A quantity that cannot be taken: what is wrong, and what to write instead."""

    def __init__(self, problem: str, mend: str) -> None:
        super().__init__(f"{problem}. {mend}")
        self.problem = problem
        self.mend = mend


@dataclass(frozen=True)
class Reading:
    """How a typed quantity was read.

    ``si`` in SI; ``number`` as typed, in the unit ``pint`` (its name there); ``spelling`` of the unit as typed;
    ``other`` the SI value of the other reading of a lone separator before three digits, where there is one.
    """

    si: float
    number: float
    pint: str
    spelling: str = ""
    other: float | None = None
    comma: bool = False


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[float]:
    # Building it takes a quarter of a second: only once, and only when a unit is first needed.
    return pint.UnitRegistry()


@lru_cache(maxsize=256)
def _scale(pint_name: str) -> tuple[float, float]:
    """Return factor and offset with ``si = factor × value + offset``."""
    quantity = _registry().Quantity
    zero = float(quantity(0.0, pint_name).to_base_units().magnitude)
    if zero == 0.0:
        return float(quantity(1.0, pint_name).to_base_units().magnitude), 0.0
    return float(quantity(100.0, pint_name).to_base_units().magnitude - zero) / 100.0, zero


def to_si(value: str | int | float, unit: str) -> float:
    """Return ``value`` in SI; a bare number is in ``unit`` (pint's spelling), a text may carry its own unit.

    Raises UnitProblem for what is no finite number, has an unknown unit or one that measures something else.

    >>> to_si("4,3 in", "mm")
    0.10922
    """
    return read_quantity(value, unit).si


def from_si(value: float, unit: str) -> float:
    """Return the SI ``value`` in ``unit``: ``from_si(0.11, "mm")`` is 110."""
    factor, offset = _scale(WANTED[unit].pint)
    return (value - offset) / factor


def spread_to_si(sd: float, unit: str) -> float:
    """Return a standard deviation in SI: a difference, so no zero point is added (1 °C is 1 K)."""
    return sd * _scale(WANTED[unit].pint)[0]


def in_unit(number: float, spelling: str, unit: str) -> float:
    """Return ``number`` of the unit spelled ``spelling`` in the canonical ``unit``."""
    return from_si(_convert(number, UNITS[plain_spelling(spelling)].pint), unit)


def format_quantity(si: float, unit: str, digits: int | None = None) -> str:
    """Return "110 mm": ``digits`` decimals, or as many as four figures need, without idle zeros."""
    return f"{format_number(from_si(si, unit), digits)}{_tail(unit)}"


def format_number(value: float, digits: int | None = None) -> str:
    """Return a number for people: fixed ``digits`` decimals, or about four figures without idle zeros."""
    if digits is not None:
        text = f"{value:.{digits}f}"
        return text.removeprefix("-") if float(text) == 0 else text
    places = 3 - math.floor(math.log10(abs(value))) if value else 0
    text = f"{value:.{min(max(places, 0), 6)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _tail(unit: str) -> str:
    symbol = WANTED[unit].symbol
    return symbol if symbol in ("", "°") else f" {symbol}"


def read_quantity(value: object, unit: str, extra: Mapping[str, str] | None = None) -> Reading:
    """Read a typed quantity; ``extra`` are further spellings that this field takes, with their names in pint.

    A pure number takes "%" unless ``extra`` says otherwise.
    """
    extra = (SHARES if unit == "" else {}) if extra is None else extra
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise UnitProblem(say("this is not a number"), say("Write {example}", example=_example(unit)))
    if isinstance(value, str):
        return _read_text(value, unit, extra)
    if not abs(value) < LARGEST:  # catches NaN as well, and whole numbers too large for a float
        raise UnitProblem(say("this is not a number that can be used"), say("Write {example}", example=_example(unit)))
    return Reading(_convert(float(value), WANTED[unit].pint), float(value), WANTED[unit].pint)


def _read_text(text: str, unit: str, extra: Mapping[str, str]) -> Reading:
    if len(text) > 4 * LONGEST or len(text := tidy(text)) > LONGEST:
        raise UnitProblem(say("this is too long for a number with its unit"),
                          say("Write {example}", example=_example(unit)))
    if not text:
        raise UnitProblem(say("there is nothing in it"), say("Leave it out, or say that it is unknown."))
    numeral = read_numeral(text)
    if numeral is None:
        raise _unreadable(text, unit)
    pint_name = _pint_name(numeral, text, unit, extra)
    other = None if numeral.other is None else _convert(numeral.other, pint_name)
    return Reading(_convert(numeral.value, pint_name), numeral.value, pint_name, numeral.rest, other, numeral.comma)


def _convert(number: float, pint_name: str) -> float:
    factor, offset = _scale(pint_name)
    return number * factor + offset


def _pint_name(numeral: Numeral, text: str, unit: str, extra: Mapping[str, str]) -> str:
    """Return pint's name of the typed unit, or refuse it with the reason."""
    wanted = WANTED[unit]
    spelling = plain_spelling(numeral.rest)
    if not spelling:
        return wanted.pint
    if spelling in extra:
        return extra[spelling]
    found = UNITS.get(spelling)
    if found is None and (spelling[0] in "+-*/^(e" and any(c.isdigit() for c in spelling) or spelling[0].isdigit()):
        raise _unreadable(text, unit)
    if found is None:
        raise _unknown_unit(numeral.rest, text, unit)
    if found.measures == wanted.measures:
        return found.pint
    if unit == "degC" and found.pint == "degree":
        return wanted.pint  # "20°" for a temperature: the field's own degrees
    raise _wrong_kind(numeral.rest, found, unit)


def _unreadable(text: str, unit: str) -> UnitProblem:
    what = say("one number with its unit") if unit else say("one number")
    return UnitProblem(say('"{text}" cannot be read as one number', text=text),
                       say("Write {what}: {example}", what=what, example=_example(unit)))


def _wrong_kind(typed: str, found: Unit, unit: str) -> UnitProblem:
    wanted = WANTED[unit]
    hint = _HINTS.get((found.measures, wanted.measures), "")
    return UnitProblem(say("{typed} is {measures}; {name} is wanted, for example {example}", typed=typed,
                           measures=_MEASURES[found.measures], name=wanted.name, example=wanted.example),
                       hint or say("Write {example}", example=_example(unit)))


def _unknown_unit(typed: str, text: str, unit: str) -> UnitProblem:
    if _TWO_IN_ONE.fullmatch(typed):
        return UnitProblem(say("\"{text}\" holds two numbers with two units", text=text),
                           say("Write one number with one unit: {unit}", unit=_example(unit)))
    measures = WANTED[unit].measures
    near = difflib.get_close_matches(plain_spelling(typed), [s for s, u in UNITS.items() if u.measures == measures], 1)
    mend = say('Did you mean "{meant}"?', meant=near[0]) if near else ""
    return UnitProblem(say('the unit "{typed}" is not known', typed=typed),
                       one_after_another([mend, say("Write {example}", example=_example(unit))]))


def _example(unit: str) -> str:
    """Return "for example 110 mm; in, cm and m are taken too."."""
    wanted = WANTED[unit]
    if not wanted.others:
        return say("for example {example}.", example=wanted.example)
    if len(wanted.others) == 1:
        return say("for example {example}; {other} is taken too.", example=wanted.example, other=wanted.others[0])
    return say("for example {example}; {others} are taken too.", example=wanted.example, others=listed(wanted.others))
