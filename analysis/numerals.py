"""Numbers as people type them: decimal point or comma, thousands, workshop fractions.  Nothing is ever evaluated."""
from __future__ import annotations

import re
from dataclasses import dataclass

LARGEST = 1e12
"""No quantity of a motorcycle comes near it, in any unit that is taken."""

_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u202f\t"), " ")
_UNSEEN = dict.fromkeys([*range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2066, 0x206A), 0xFEFF])
_TIDY: dict[int, str | None] = {**_SPACES, **_UNSEEN, ord("−"): "-"}

_VULGAR = {"½": 0.5, "¼": 0.25, "¾": 0.75}
_HALVES = re.compile(r"([+-]?)([0-9]{0,4}) ?([½¼¾])")
_FRACTION = re.compile(r"([+-]?)(?:([0-9]{1,4})[ -])?([0-9]{1,2})/([0-9]{1,2})(?![0-9/.,])")
_NUMBER = re.compile(
    r"([+-]?) ?"
    r"([0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]{1,9})?(?![0-9.,])|[0-9.,]{1,24}(?![0-9.,]))"
    r"([eE][+-]?[0-9]{1,3}(?![0-9]))?"
)
_DECIMAL = re.compile(r"[0-9]+\.?|[0-9]*[.,][0-9]+")
_GROUPED_BY_COMMA = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3}){2,}(?:\.[0-9]+)?|[1-9][0-9]{0,2},[0-9]{3}\.[0-9]+")
_GROUPED_BY_POINT = re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3}){2,}(?:,[0-9]+)?|[1-9][0-9]{0,2}\.[0-9]{3},[0-9]+")
_EITHER = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")


@dataclass(frozen=True)
class Numeral:
    """A number at the start of a text: how it is read, how else it could be, and what follows it.

    ``other`` is set for a lone separator before exactly three digits: ``1,250`` is read as 1250 and could be 1.25;
    ``1.250`` is read as 1.25 and could be 1250.
    """

    value: float
    rest: str
    other: float | None = None
    comma: bool = False


def tidy(text: str) -> str:
    """Return ``text`` with one kind of space and minus, and without invisible direction marks."""
    return " ".join(text.translate(_TIDY).split())


def read_numeral(text: str) -> Numeral | None:
    """Read the number that ``text`` (already tidy) starts with; ``None`` where there is none that can be trusted.

    >>> read_numeral("1.250,5 mm")
    Numeral(value=1250.5, rest='mm', other=None, comma=True)
    """
    found = _read_halves(text) or _read_fraction(text) or _read_decimal(text)
    return found if found is not None and abs(found.value) < LARGEST else None


def _read_halves(text: str) -> Numeral | None:
    match = _HALVES.match(text)
    if match is None:
        return None
    value = float(match[2] or 0) + _VULGAR[match[3]]
    return Numeral(_signed(match[1], value), text[match.end():].strip())


def _read_fraction(text: str) -> Numeral | None:
    match = _FRACTION.match(text)
    if match is None or int(match[4]) == 0:
        return None
    value = float(match[2] or 0) + int(match[3]) / int(match[4])
    return Numeral(_signed(match[1], value), text[match.end():].strip())


def _read_decimal(text: str) -> Numeral | None:
    match = _NUMBER.match(text)
    if match is None:
        return None
    sign, digits, exponent = match[1], match[2].replace(" ", ""), match[3]
    values = _readings(digits)
    if not values or (exponent and "," in digits):
        return None
    power = float("1" + exponent) if exponent else 1.0
    read = [_signed(sign, value * power) for value in values]
    # A power of ten or grouping by spaces settles what the separator means.
    other = read[1] if len(read) > 1 and not exponent and " " not in match[2] else None
    return Numeral(read[0], text[match.end():].strip(), other, "," in digits)


def _readings(digits: str) -> tuple[float, ...]:
    """Return what the digits mean, the likelier reading first; empty where they mean nothing."""
    if _GROUPED_BY_COMMA.fullmatch(digits):
        return (float(digits.replace(",", "")),)
    if _GROUPED_BY_POINT.fullmatch(digits):
        return (float(digits.replace(".", "").replace(",", ".")),)
    if not _DECIMAL.fullmatch(digits):
        return ()
    decimal = float(digits.replace(",", "."))
    if not _EITHER.fullmatch(digits):
        return (decimal,)
    thousands = float(digits.replace(",", "").replace(".", ""))
    return (thousands, decimal) if "," in digits else (decimal, thousands)


def _signed(sign: str, value: float) -> float:
    return -value if sign == "-" else value
