"""A table typed as text: pairs of numbers, first one thing and then what goes with it."""
from __future__ import annotations

import re

from analysis.say import say
from analysis.units import UnitProblem, read_quantity

LONGEST_TABLE = 2000
MOST_PAIRS = 60
LEAST_PAIRS = 3
TABLE_FORM = say("Pairs such as 0:0 20:9.8 40:19.9, the first number against the second, both rising from 0:0.")

_PAIR = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*[:=]\s*([0-9]+(?:[.,][0-9]+)?)")
_BREAK = re.compile(r"\s*[;,\n]?\s*")


def read_table(text: str, unit: str) -> tuple[tuple[float, float], ...]:
    """Return the pairs in ``text`` in SI, both numbers in ``unit``; raises UnitProblem with what to write instead.

    Pairs are parted by spaces, new lines or semicolons, "0:0 20:9.8"; a decimal comma may stand inside a number.
    """
    if len(text) > LONGEST_TABLE:
        raise UnitProblem(say("this table is too long"), say("Give at most {most_pairs} pairs.", most_pairs=MOST_PAIRS))
    typed = _pairs(text)
    if not LEAST_PAIRS <= len(typed) <= MOST_PAIRS:
        raise UnitProblem(say("this table has {count} pairs", count=len(typed)) if len(typed) != 1 else
                          say("this table has 1 pair"),
                          say("Give {least_pairs} to {most_pairs} pairs, such as 0:0 20:9.8 40:19.9.",
                              least_pairs=LEAST_PAIRS, most_pairs=MOST_PAIRS))
    pairs = tuple((_si(first, unit), _si(second, unit)) for first, second in typed)
    _must_rise(pairs, typed)
    return pairs


def _pairs(text: str) -> list[tuple[str, str]]:
    typed, here = [], 0
    end = len(text.rstrip(" \t\r\n;,"))
    while here < end:
        pair = _PAIR.match(text, here)
        if pair is None:
            raise UnitProblem(say("\"{split}\" is not a pair of numbers",
                                  split=" ".join(text[here:here + 20].split())),
                              say("Write pairs with a colon, such as 0:0 20:9.8 40:19.9, without units."))
        typed.append((pair[1], pair[2]))
        gap = _BREAK.match(text, pair.end())
        here = gap.end() if gap else pair.end()
    return typed


def _si(number: str, unit: str) -> float:
    """A comma inside a pair is a decimal comma: nothing in a table reaches a thousand."""
    return read_quantity(float(number.replace(",", ".")), unit).si


def _must_rise(pairs: tuple[tuple[float, float], ...], typed: list[tuple[str, str]]) -> None:
    if pairs[0] != (0.0, 0.0):
        raise UnitProblem(say('the first pair is "{pair}"', pair=":".join(typed[0])),
                          say("Begin with 0:0, wheel hanging."))
    for n in range(1, len(pairs)):
        if not (pairs[n][0] > pairs[n - 1][0] and pairs[n][1] > pairs[n - 1][1]):
            raise UnitProblem(say("\"{typed}\" does not rise above \"{typed_2}\"", typed=":".join(typed[n]),
                                  typed_2=":".join(typed[n - 1])),
                              say("Put the pairs in the order of rising travel, and check these two."))
