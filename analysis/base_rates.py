"""Base rates that follow confirmed cases: how common each cause is, before anything is known of a bike.

The rates that the catalogue starts with weigh as much as ``PRIOR_CASES`` confirmed cases of each cause.  A cause that
was seen n times where e times were expected has its starting rate times (PRIOR_CASES + n) / (PRIOR_CASES + e): the mean
of a gamma distribution after a Poisson count.  What is expected is counted bike by bike, over the causes which that
bike can have at all, so that a year without air springs does not make air springs rarer faults.
"""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from analysis.causes import BY_NAME, CAUSES, causes_for

PRIOR_CASES = 20.0
"""Confirmed cases of each cause that the starting rate stands for: common practice, no source."""
FLOOR = 0.002
"""No cause becomes rarer than this, however long nobody has seen it: common practice, no source."""

Rates = Mapping[str, float]


@dataclass(frozen=True)
class Seen:
    """One confirmed case: what it was, and what kind of fork it had ('air' or coil, and what is inside)."""

    causes: tuple[str, ...]
    springing: str = ""
    damper: str = ""


def starting_rates() -> dict[str, float]:
    """Return the rates that the catalogue starts with, by cause."""
    return {cause.name: cause.base_rate for cause in CAUSES}


def updated_rates(seen: Sequence[Seen]) -> dict[str, float]:
    """Return the rates after the confirmed cases ``seen``, always from the starting rates; none is under ``FLOOR``.

    A case with several causes counts as a part of one for each.  Causes that are not in the catalogue are left out.
    """
    counted, expected = dict.fromkeys(BY_NAME, 0.0), dict.fromkeys(BY_NAME, 0.0)
    for case in seen:
        known = [name for name in case.causes if name in BY_NAME]
        for name in known:
            counted[name] += 1 / len(known)
        for name, share in (_expected(case.springing, case.damper) if known else {}).items():
            expected[name] += share
    return {name: round(max(FLOOR, rate * (PRIOR_CASES + counted[name]) / (PRIOR_CASES + expected[name])), 5)
            for name, rate in starting_rates().items()}


@cache
def _expected(springing: str, damper: str) -> Rates:
    """Return the share of each cause among such bikes by the starting rates, as causes of the catalogue."""
    possible = causes_for(springing)
    if damper == "separate function":
        possible = tuple(cause for cause in possible if cause.name != "unequal oil")
    whole = sum(cause.base_rate for cause in possible)
    return {cause.name: cause.base_rate / whole for cause in possible}


def reweighed(odds: Rates, springing: str, damper: str, old: Rates | None, new: Rates | None) -> dict[str, float]:
    """Return what the odds of a case become with ``new`` base rates in place of ``old``; None: the starting rates.

    Exact: a posterior is its base rate times what the evidence says, and the evidence stays.
    """
    before, after = (_of_such_a_bike(springing, damper, rates) for rates in (old, new))
    weights = {name: p * after[name] / before[name] for name, p in odds.items() if name in before}
    whole = sum(weights.values())
    return {name: weight / whole for name, weight in weights.items()} if whole > 0 else dict(odds)


def _of_such_a_bike(springing: str, damper: str, rates: Rates | None) -> dict[str, float]:
    return {cause.name: cause.base_rate for cause in causes_for(springing, damper, rates)}
