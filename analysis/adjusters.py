"""Damping adjusters: what their clicks say before anything is measured.

Clicks are pure numbers, counted from fully in (the hardest setting) unless said otherwise; strokes are in m.
"""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from analysis.say import one_after_another, say

Circuit = Literal["rebound", "compression"]
Counted = Literal["fully in", "fully out", "not sure"]
Kind = Literal["out of range", "at the hard end", "at the soft end", "counted from where", "sides differ",
               "changes nothing", "works", "cannot tell", "turns endlessly", "stuck"]

NEAR_END = 1.0
"""Clicks from an end that count as at the end: common practice, no source."""
SIDE_GAP = 2.0
"""Clicks by which two legs may differ before it is felt: common practice, no source."""
STROKE_GROWS = 0.010
"""m that the stroke of a quick push grows from fully in to fully out where the adjuster works: common practice."""
CERTAIN = 1.96


@dataclass(frozen=True)
class Adjuster:
    """One adjuster as found: clicks as counted, of how many, from which end; ``sd`` the spread of a count."""

    side: str
    circuit: Circuit
    clicks: float | None
    total: float | None
    counted: Counted = "fully in"
    sd: float = 0.5


@dataclass(frozen=True)
class Sweep:
    """Strokes in m of the same quick push with an adjuster fully in, in the middle and fully out; ``sd`` of one."""

    fully_in: float | None
    middle: float | None
    fully_out: float | None
    sd: float = 0.004


@dataclass(frozen=True)
class Finding:
    """One thing seen at an adjuster: what kind, where, in words, and what to do."""

    kind: Kind
    side: str
    circuit: str
    words: str
    do: str


def clicks_out(adjuster: Adjuster) -> float | None:
    """Return how many clicks out from fully in the adjuster stands; None where that cannot be known.

    Counted from fully out it is ``total − clicks``; where the end it was counted from is not sure, nothing is taken.
    """
    if adjuster.clicks is None or adjuster.counted == "not sure":
        return None
    if adjuster.counted == "fully in":
        return adjuster.clicks
    return None if adjuster.total is None else adjuster.total - adjuster.clicks


def look_at(adjuster: Adjuster) -> tuple[Finding, ...]:
    """Return what one adjuster's count says by itself; empty where all is ordinary or nothing is known."""
    clicks, total = adjuster.clicks, adjuster.total
    if clicks is None:
        return ()
    if clicks < 0 or (total is not None and clicks > total + CERTAIN * math.sqrt(2) * adjuster.sd):
        return (_finding("out of range", adjuster, say("{clicks} clicks of {total}: more than there are",
                                                       clicks=f"{clicks:g}", total=_all(total)),
                         say("Turn it gently in until it stops, then out, counting all the way, and put it back.")),)
    if adjuster.counted == "not sure":
        return _unsure(adjuster)
    return _at_end(adjuster)


def _unsure(adjuster: Adjuster) -> tuple[Finding, ...]:
    clicks, total = adjuster.clicks or 0.0, adjuster.total
    if total is not None and abs(total - 2 * clicks) <= SIDE_GAP:
        return ()  # in the middle it is the same from either end
    other = say("unknown") if total is None else f"{total - clicks:g}"
    said = say("{clicks} clicks, but from which end is not sure; from the other end it would be {other}",
               clicks=f"{clicks:g}", other=other)
    return (_finding("counted from where", adjuster, said, say("Count again from fully in, gently, and put it back.")),)


def _at_end(adjuster: Adjuster) -> tuple[Finding, ...]:
    out, total = clicks_out(adjuster), adjuster.total
    if out is not None and out <= NEAR_END:
        return (_finding("at the hard end", adjuster, say("fully in or nearly ({out} clicks out)",
                                                          out=f"{max(out, 0.0):g}"),
                         say("It is at its hardest. Before more is asked of it, look at oil, preload and friction.")),)
    if out is not None and total is not None and out >= total - NEAR_END:
        return (_finding("at the soft end", adjuster, say("fully out or nearly ({out} clicks out of {total})",
                                                          out=f"{out:g}", total=_all(total)),
                         say("It has nothing left that way; thinner oil or the valves come next, for a workshop.")),)
    return ()


def compare_sides(left: Adjuster, right: Adjuster, same_function: bool | None) -> Finding | None:
    """Return a finding where two legs that do the same job stand differently; None where they need not agree.

    ``same_function`` is False for a fork with its damper in one leg, None where that is not known.
    """
    outs = clicks_out(left), clicks_out(right)
    if same_function is False or outs[0] is None or outs[1] is None:
        return None
    gap = abs(outs[0] - outs[1])
    if gap <= max(SIDE_GAP, CERTAIN * math.hypot(left.sd, right.sd)):
        return None
    template = ("The rebound stands {left} clicks out left and {right} right." if left.circuit == "rebound" else
                "The compression stands {left} clicks out left and {right} right.")
    differ = say(template, left=f"{outs[0]:g}", right=f"{outs[1]:g}")
    unless = "" if same_function else say("Where only one leg has the damper, the difference means nothing.")
    return Finding("sides differ", "both", left.circuit, one_after_another([differ, unless]),
        say("Unless the manual wants a difference, set both alike: halfway between the two."))


def judge_sweep(sweep: Sweep, circuit: Circuit = "compression") -> Finding:
    """Return whether an adjuster changes the stroke of a quick push over its range.

    It works where the stroke grows by more than 10 mm from fully in to fully out and by more than the readings' own
    spread; it changes nothing where even the upper 95 % limit of the growth is below that; otherwise it cannot be told.
    """
    if sweep.fully_in is None or sweep.fully_out is None:
        return Finding("cannot tell", "both", circuit, say("The stroke fully in or fully out is missing."),
                       say("Do the quick push at both ends of the adjuster."))
    growth, slack = sweep.fully_out - sweep.fully_in, CERTAIN * math.sqrt(2) * sweep.sd
    grown = f"{1000.0 * growth:.0f}"
    if growth > max(STROKE_GROWS, slack) and _in_order(sweep):
        return Finding("works", "both", circuit, say(
            "From fully in to fully out the stroke of the quick push changed by {grown} mm: the adjuster does its "
            "work.", grown=grown), say("Leave it where it suits."))
    if growth + slack < 2 * STROKE_GROWS and growth < STROKE_GROWS:
        return Finding("changes nothing", "both", circuit, say(
            "From fully in to fully out the stroke of the quick push changed by {grown} mm, no more than the readings "
            "differ by themselves: the adjuster changes nothing in a push.", grown=grown),
            say("A firm fork is then held by something else: oil, spring or friction. A floppy one: worn or wrongly "
                "built damper, for a workshop."))
    return Finding("cannot tell", "both", circuit, say(
        "From fully in to fully out the stroke of the quick push changed by {grown} mm; that is too close to call.",
        grown=grown), say("Do three pushes at each end and give the middle value of each three."))


def _in_order(sweep: Sweep) -> bool:
    """True where the middle setting, if given, lies between the ends within the spread of the readings."""
    given = [x for x in (sweep.fully_in, sweep.middle, sweep.fully_out) if x is not None]
    return all(b - a > -CERTAIN * math.sqrt(2) * sweep.sd for a, b in pairwise(given))


def look_at_all(adjusters: Sequence[Adjuster], same_function: bool | None) -> tuple[Finding, ...]:
    """Return the findings of all adjusters and of left against right, in the order given."""
    found = [finding for adjuster in adjusters for finding in look_at(adjuster)]
    for circuit in ("rebound", "compression"):
        sides = {a.side: a for a in adjusters if a.circuit == circuit}
        if {"left", "right"} <= sides.keys():
            both = compare_sides(sides["left"], sides["right"], same_function)
            found += [both] if both is not None else []
    return tuple(found)


def _all(total: float | None) -> str:
    return say("an unknown number") if total is None else f"{total:g}"


def _finding(kind: Kind, adjuster: Adjuster, words: str, do: str) -> Finding:
    template = ("Rebound, {side} leg: {words}." if adjuster.circuit == "rebound" else
                "Compression, {side} leg: {words}.")
    return Finding(kind, adjuster.side, adjuster.circuit, say(template, side=adjuster.side, words=words), do)
