"""A recorded bounce as an answer: pairs of seconds and millimetres, as a film or a logger gives them."""
from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from analysis.decay import Decay, Refused
from analysis.decay_trace import from_trace
from analysis.say import say
from analysis.units import UnitProblem

FEWEST_READINGS, MOST_READINGS = 20, 2000
LONGEST_TRACE_S = 60.0
FARTHEST_MM = 5000.0
TRACE_FORM = ("Pairs of seconds and millimetres: a list such as [[0, 112.0], [0.02, 108.5]], or text with one pair a "
              "line, such as 0.02; 108.5. Times go on from pair to pair; 20 pairs at least.")

_PAIR = re.compile(r"\s*(-?[0-9]+(?:[.,][0-9]+)?)\s*[:;=\t]\s*(-?[0-9]+(?:[.,][0-9]+)?)(?=\s|$)")

Pairs = tuple[tuple[float, float], ...]


def read_trace_pairs(raw: object) -> Pairs:
    """Return the pairs (s, mm) of a bounce given as a list of pairs or as text; raises UnitProblem with the mend.

    The position may have any zero and go either way; a decimal comma may stand inside a number of a text.
    """
    pairs = tuple(_from_text(raw) if isinstance(raw, str) else _from_list(raw))
    if not FEWEST_READINGS <= len(pairs) <= MOST_READINGS:
        raise UnitProblem(say("this bounce has {count} readings", count=len(pairs)),
                          say("Give {fewest} to {most}, from just before letting go until it rests.",
                              fewest=FEWEST_READINGS, most=MOST_READINGS))
    _goes_on(pairs)
    return pairs


def as_trace_text(pairs: Pairs) -> str:
    """Return the pairs as one text, "0:112 0.02:108.5"."""
    return " ".join(f"{t:.5g}:{y:.5g}" for t, y in pairs)


def trace_in_words(raw: object) -> str:
    """Return what was given in short; empty where it cannot be read."""
    try:
        pairs = read_trace_pairs(raw)
    except UnitProblem:
        return ""
    heights = [y for _, y in pairs]
    return say("{count} readings over {seconds} s, from {low} to {high} mm", count=len(pairs),
               seconds=f"{pairs[-1][0] - pairs[0][0]:.2f}", low=f"{min(heights):.0f}", high=f"{max(heights):.0f}")


@lru_cache(maxsize=64)
def bounce_in(text: str) -> Decay | Refused:
    """Return what the bounce in an answer's text says; kept, for the odds ask for it over and over."""
    times, heights = np.array(read_trace_pairs(text)).T
    return from_trace(times, heights * 1e-3)


def _from_list(raw: object) -> Iterator[tuple[float, float]]:
    if not isinstance(raw, (list, tuple)):
        raise UnitProblem(say("this is no list of readings"), TRACE_FORM)
    for number, pair in enumerate(raw[:MOST_READINGS + 1], 1):
        if not (isinstance(pair, (list, tuple)) and len(pair) == 2 and all(_is_number(part) for part in pair)):
            raise UnitProblem(say("reading {number} is no pair of numbers", number=number), TRACE_FORM)
        yield float(pair[0]), float(pair[1])


def _is_number(part: object) -> bool:
    return isinstance(part, (int, float)) and not isinstance(part, bool) and abs(part) < 1e6


def _from_text(raw: str) -> Iterator[tuple[float, float]]:
    if raw.lstrip().startswith("["):
        try:
            listed = json.loads(raw)
        except (ValueError, RecursionError):
            raise UnitProblem(say("this list of readings breaks off or has a slip in it"), TRACE_FORM) from None
        yield from _from_list(listed)
        return
    here, number, end = 0, 0, len(raw.rstrip())
    while here < end:
        pair, number = _PAIR.match(raw, here), number + 1
        if pair is None:
            raise UnitProblem(say("reading {number} is no pair of numbers", number=number), TRACE_FORM)
        yield float(pair[1].replace(",", ".")), float(pair[2].replace(",", "."))
        here = pair.end()


def _goes_on(pairs: Pairs) -> None:
    for number, (before, after) in enumerate(zip(pairs, pairs[1:], strict=False), 2):
        if after[0] <= before[0]:
            raise UnitProblem(say("the time of reading {number} does not go on from the one before", number=number),
                              say("Leave doubled readings out, and sort them by time."))
    if pairs[-1][0] - pairs[0][0] > LONGEST_TRACE_S:
        raise UnitProblem(say("these readings span {seconds} s", seconds=f"{pairs[-1][0] - pairs[0][0]:.0f}"),
                          say("Cut it to one bounce. The first number is in seconds, not a frame's number."))
    if any(abs(y) > FARTHEST_MM for _, y in pairs):
        raise UnitProblem(say("a reading is further out than {most} mm", most=f"{FARTHEST_MM:.0f}"),
                          say("The second number is a length in mm."))
