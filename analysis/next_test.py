"""The next best test: what is not done yet, safe and possible, by expected information a minute."""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.catalogue import BENCH_TESTS, QUESTIONS, SIDES, BenchTest
from analysis.document import Case
from analysis.labels import DOUBT
from analysis.meanings import Meant, meanings
from analysis.observations import ANSWERS, READINGS
from analysis.observing import Answered, Reading
from analysis.posterior import Posterior
from analysis.say import in_a_row, say
from analysis.unit_names import WANTED
from analysis.units import from_si, to_si
from analysis.world import World

Array = NDArray[np.float64]

SAMPLE = 500
"""Draws, taken by weight, that stand for the posterior."""
TRIES = 60
"""Results of each test that are tried out."""
OFFERED = 3
"""So many tests are offered to pick from."""
WAY_THERE = 60
"""Minutes that it takes to bring a bike to a workshop and away again, whatever is done there: common practice, no
source."""
WORTH_BITS = 0.02
"""Less than this is no reason to ask anyone to kneel on a cold floor."""
WORTH_THE_WAY = 0.1
"""Less than this, in bits, is no reason to bring a bike to a workshop."""


@dataclass(frozen=True)
class NextTest:
    """A test worth doing: its expected gain, what each leading cause would show, and what each answer would mean."""

    test: BenchTest
    gain_bits: float
    expect: tuple[tuple[str, str], ...]
    by_workshop: bool
    answers: tuple[Meant, ...] = ()


def next_test(posterior: Posterior, barred: Sequence[str], rng: np.random.Generator) -> NextTest | None:
    """Return the open test with the largest expected information gain a minute of work, or None."""
    return next(iter(next_tests(posterior, barred, rng, 1)), None)


def next_tests(posterior: Posterior, barred: Sequence[str], rng: np.random.Generator, most: int = OFFERED,
               ) -> tuple[NextTest, ...]:
    """Return the ``most`` open tests with the largest expected information gain a minute of work, best first.

    ``barred`` names tests that are not safe on this bike.  A test that the rider cannot do is offered only where
    nothing else is worth its minutes, and then as work for a workshop.
    """
    case = posterior.world.case
    world, gains = expected_gains(posterior, barred, rng)
    at_home, away = [t for t in gains if can_do(case, t)], [t for t in gains if gains[t] >= WORTH_THE_WAY]
    for group, by_workshop in ((at_home, False), (away, True)):
        if group:
            trip = WAY_THERE if by_workshop else 0
            best = sorted(group, key=lambda t: -gains[t] / (t.minutes + trip))[:most]
            return tuple(NextTest(test, gains[test], _expect(world, test), by_workshop,
                                  meanings(world, watched(test))) for test in best)
    return ()


def expected_gains(
    posterior: Posterior, barred: Sequence[str], rng: np.random.Generator,
) -> tuple[World, dict[BenchTest, float]]:
    """Return the draws that stand for the posterior, and of each open test that is worth asking for its gain in bits.

    ``barred`` names tests that are not safe on this bike.
    """
    case = posterior.world.case
    open_tests = [t for t in BENCH_TESTS if t.name not in barred and not is_done(case, t) and watched(t)]
    world = posterior.world.taken(rng.choice(posterior.world.size, SAMPLE, p=posterior.all_weights))
    gains = {t: expected_gain(world, watched(t), rng) for t in open_tests}
    return world, {t: gain for t, gain in gains.items() if gain >= WORTH_BITS}


def is_done(case: Case, test: BenchTest) -> bool:
    """True where any of the test's questions has an answer, 'could not' included.

    For the oil both legs' levels are wanted, and read in a way that is known: the level stands on another page, and
    one read nobody knows how, remembered or guessed does not save the test.
    """
    if test.name == "oil":
        levels = [case.answer(f"fork.{side}.oil_level_mm") for side in SIDES]
        read = all(level is not None and level.known in ("measured", "documented") for level in levels)
        could_not = case.answer("bench.oil.not_done") is not None
        return could_not or read and case.value("bench.oil.condition") != "not sure"
    asked = [path for question in test.questions for path in question.paths()]
    return any(case.answer(path) is not None or path in case.unknown for path in asked)


def can_do(case: Case, test: BenchTest) -> bool:
    """True where the rider has what the test needs; opening a fork must have been said to be possible."""
    has = case.value("rider.can")
    if not isinstance(has, tuple):
        return "caps" not in test.needs
    return set(test.needs) <= set(has)


def watched(test: BenchTest) -> list[Reading | Answered]:
    """Return what the test's answers are judged by."""
    entries: tuple[Reading | Answered, ...] = (*READINGS, *ANSWERS)
    return [entry for entry in entries if entry.test == test.name]


def expected_gain(world: World, entries: Sequence[Reading | Answered], rng: np.random.Generator) -> float:
    """Expected fall of the causes' entropy, bits: results are drawn from draws, and each draw is judged by them."""
    log = np.zeros((TRIES, world.size))
    for entry in entries:
        log += _log_likelihood(world, entry, rng)
    weight = np.exp(log - log.max(axis=1, keepdims=True))
    order = np.argsort(world.cause_index, kind="stable")
    starts = np.flatnonzero(np.diff(world.cause_index[order], prepend=-1))
    before = np.diff(starts, append=world.size) / world.size
    after = np.add.reduceat(weight[:, order], starts, axis=1)
    after /= after.sum(axis=1, keepdims=True)
    return max(float(_entropy(before) - _entropy(after).mean()), 0.0)


def _entropy(p: Array) -> Array:
    """Entropy along the last axis, bits."""
    return np.asarray(-(p * np.log2(np.maximum(p, 1e-300))).sum(axis=-1))


def _log_likelihood(world: World, entry: Reading | Answered, rng: np.random.Generator) -> Array:
    """Log likelihood of each tried result under each draw, shape (TRIES, draws)."""
    if isinstance(entry, Reading):
        predicted = np.asarray(entry.predict(world))
        off = np.broadcast_to(np.asarray(entry.off_by(world), dtype=float), predicted.shape)
        sd = np.hypot(off, entry.usual_sd)
        results = predicted[:TRIES] + sd[:TRIES] * rng.standard_normal(TRIES)
        gap = (results[:, None] - predicted) / sd
        return np.asarray(np.log(np.exp(-0.5 * gap**2) / sd + DOUBT["measured"] / entry.width))
    chances = np.stack(list(entry.probabilities(world).values()))
    drawn = (rng.random(TRIES) > np.cumsum(chances[:, :TRIES], axis=0)).sum(axis=0)
    return np.asarray(np.log(chances[np.minimum(drawn, len(chances) - 1)]))


def _expect(world: World, test: BenchTest) -> tuple[tuple[str, str], ...]:
    """What the test would show for each of the three leading causes, in words."""
    share = np.bincount(world.cause_index, minlength=len(world.causes)) / world.size
    leading = [int(c) for c in np.argsort(-share)[:3] if share[c] > 0.05]
    return tuple((world.causes[c].title, in_a_row(
        [_would_show(world, entry, world.cause_index == c) for entry in watched(test)])) for c in leading)


def _title(path: str, value: str) -> str:
    return next((choice.title for choice in QUESTIONS[path].choices if choice.value == value), value)


def _would_show(world: World, entry: Reading | Answered, rows: Array) -> str:
    if isinstance(entry, Answered):
        chances = {name: float(p[rows].mean()) for name, p in entry.probabilities(world).items()}
        best = max(chances, key=lambda name: chances[name])
        return say("{title}: most likely '{answer}' ({chance} %)", title=entry.title, answer=_title(entry.path, best),
                   chance=f"{100 * chances[best]:.0f}")
    low, high = np.quantile(np.asarray(entry.predict(world))[rows], (0.1, 0.9))
    question = QUESTIONS[entry.path]
    unit, ends = question.unit, question.possible
    assert ends is not None, "every reading has its range"
    low, high = np.clip((low, high), to_si(ends[0], unit), to_si(ends[1], unit))  # oil above the rim stands at the rim
    digits = 1 if unit in ("s", "bar") else 0
    return say("{title}: {low} to {high} {unit}", title=entry.title, low=f"{from_si(float(low), unit):.{digits}f}",
               high=f"{from_si(float(high), unit):.{digits}f}", unit=WANTED[unit].symbol)
