"""Do the stops that a log shows agree with the ones that were predicted?"""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from analysis.say import one_after_another, say
from analysis.travel_events import HARD, WALL, Visit
from analysis.units import from_si, to_si

READING = 0.002
"""Spread of a logged stroke against a predicted one (m), zero and calibration together: common practice, no source."""
NINETY = 1.645
"""5 to 95 % in standard deviations of a normal spread."""


@dataclass(frozen=True)
class Stop:
    """A predicted end of the stroke: where (m), its 5 to 95 % range, and whether nothing can go beyond it."""

    name: str
    at: float
    low: float
    high: float
    firm: bool = True


@dataclass(frozen=True)
class Agreement:
    """What the log says about one predicted stop: "agrees", "not reached", "went beyond" or "stops elsewhere"."""

    stop: Stop
    result: str
    words: str


def predicted_stops(findings: Mapping[str, Any]) -> tuple[Stop, ...]:
    """Return the ends of the front's stroke that the findings predict for the fork as found, in SI."""
    fork = findings.get("fork") or {}
    spread = fork.get("spread") or {}
    found = [_firm(say("the air of the {side} leg runs out", side=side), leg.get("lock_stroke_mm"),
                   _around(leg, "lock_stroke_mm"))
             for side in ("left", "right") if (leg := fork.get(side))]
    for name, key, firm in (("the coils touch", "coil_bind_stroke_mm", True),
                            ("hard braking reaches", "usable_stroke_mm", False)):
        ends = (spread.get(key) or {}).get("found")
        found.append(_firm(name, (fork.get(key) or {}).get("found"), ends, firm))
    full = (findings.get("marks") or {}).get("stroke_mm")
    found.append(_firm("full stroke", full, None))
    return tuple(stop for stop in found if stop is not None)


def _around(leg: Mapping[str, Any], key: str) -> tuple[float, float] | None:
    at, sd = leg.get(key), (leg.get("spread") or {}).get(key)
    return None if at is None or sd is None else (at - NINETY * sd, at + NINETY * sd)


def _firm(name: str, at: float | None, ends: Iterable[float] | None, firm: bool = True) -> Stop | None:
    if at is None:
        return None
    low, high = ends if ends is not None else (at, at)
    return Stop(name, to_si(at, "mm"), to_si(low, "mm"), to_si(high, "mm"), firm)


def observed_stop(visits: Iterable[Visit]) -> float | None:
    """Return the middle stroke (m) of the visits that ended at a wall; None where none did."""
    strokes = sorted(visit.stroke for visit in visits if visit.shape in (HARD, WALL))
    return strokes[len(strokes) // 2] if strokes else None


def agreement(stop: Stop, deepest: float, wall: float | None) -> Agreement:
    """Compare one predicted stop with the deepest reading and the wall that was seen (m), within spread and reading."""
    low, high = stop.low - READING, stop.high + READING
    at = f"{from_si(stop.at, 'mm'):.0f}"
    ends = f"{at} mm" if stop.high - stop.low < READING else (
        say("{at} mm ({low} to {high} mm)", at=at,
            low=f'{from_si(stop.low, "mm"):.0f}', high=f'{from_si(stop.high, "mm"):.0f}'))
    head = say("Predicted that {name} at {ends}", name=stop.name, ends=ends) if stop.name != "full stroke" else (
        say("Full stroke is {ends}", ends=ends))
    if deepest > high:
        return Agreement(stop, "went beyond", one_after_another([
            say("{head}; the log goes to {deepest} mm.", head=head, deepest=f'{from_si(deepest, "mm"):.0f}'),
            say("Nothing goes beyond such a stop: that prediction, the zero or the scale is wrong.") if stop.firm else
            say("A bump can do that, so it is not against the prediction.")]))
    if wall is not None and low <= wall <= high:
        return Agreement(stop, "agrees", say("{head}; it stops at {wall} mm: within the spread.", head=head,
                                             wall=f'{from_si(wall, "mm"):.0f}'))
    if wall is not None and wall < low:
        return Agreement(stop, "stops elsewhere", say("{head}; it stops at {wall} mm already: not within the "
                                                      "spread, something else ends it there.", head=head,
                                                      wall=f'{from_si(wall, "mm"):.0f}'))
    if deepest >= low:
        return Agreement(stop, "agrees", say("{head}; the log goes to {deepest} mm: within the spread, though no "
                                             "sudden stop was seen.", head=head,
                                             deepest=f'{from_si(deepest, "mm"):.0f}'))
    return Agreement(stop, "not reached", say("{head}; the log goes to {deepest} mm and shows no stop: it says "
                                              "nothing about it.", head=head, deepest=f'{from_si(deepest, "mm"):.0f}'))
