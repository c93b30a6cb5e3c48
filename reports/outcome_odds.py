"""What we had said of a case, held against what it was: pure reckoning on a draft's findings."""
from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from analysis.base_rates import starting_rates
from analysis.catalogue import BENCH_TESTS
from analysis.observations import ANSWERS, READINGS

Odds = Sequence[tuple[str, float]]
TEST_OF = {entry.path: entry.test for entry in (*READINGS, *ANSWERS)}
MINUTES = {test.name: float(test.minutes) for test in BENCH_TESTS}


def odds_of(findings: Mapping[str, Any]) -> list[tuple[str, float]]:
    """Return every cause with its odds, likeliest first."""
    causes = sorted(findings.get("causes") or (), key=lambda cause: -cause["probability"])
    return [(cause["name"], float(cause["probability"])) for cause in causes]


def brier(odds: Odds, true: Iterable[str]) -> float:
    """Return the sum over the causes of (odds − what it was)²; several causes share the one that it was.

    Brier, G. W. (1950), Monthly Weather Review 78, 1–3: the score of a forecast over several classes.
    """
    share = _shares(odds, true)
    return sum((p - share.get(name, 0.0)) ** 2 for name, p in odds)


def _shares(odds: Odds, true: Iterable[str]) -> dict[str, float]:
    there = [name for name in true if name in dict(odds)]
    return {name: 1 / len(there) for name in there}


def base_odds(odds: Odds, rates: Mapping[str, float] | None) -> list[tuple[str, float]]:
    """Return what would have been said of the same causes by the base rates alone."""
    known = {**starting_rates(), **(rates or {})}
    whole = sum(known.get(name, 0.0) for name, _ in odds) or 1.0
    return [(name, known.get(name, 0.0) / whole) for name, _ in odds]


def bits_by_test(findings: Mapping[str, Any], cause: str) -> dict[str, float]:
    """Return for each test that was done by how many bits its answers moved ``cause``."""
    moved = next((one.get("bits") or () for one in findings.get("causes") or () if one["name"] == cause), ())
    found: dict[str, float] = {}
    for one in moved:
        test = TEST_OF.get(one["path"])
        if test in MINUTES:
            found[test] = found.get(test, 0.0) + one["moved_bits"]
    return found
