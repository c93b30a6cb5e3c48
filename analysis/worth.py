"""Which tests are worth doing while a case is still being filled in: a quick look, not a judgement."""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from analysis.case import Case
from analysis.catalogue import BenchTest
from analysis.inputs import read_inputs
from analysis.next_test import can_do, expected_gain, expected_gains, watched
from analysis.posterior import assess
from analysis.say import say
from analysis.world import World

DRAWS = 240
"""Draws for each cause, none spent on scouting: enough to rank tests, in a fraction of a second."""
REASONED = 3
"""The best so many tests get a reason of their own."""
LEADING = 4
"""So many of the likeliest causes are looked at for what a test tells apart."""
LEAST_SHARE = 0.03
PAIR_SAMPLE = 150
"""Draws of two causes that stand for them."""


@dataclass(frozen=True)
class Worth:
    """A test by name, what it is expected to tell in bits, and what it tells apart best; "" where nothing does."""

    name: str
    gain_bits: float
    reason: str = ""


def tests_worth_doing(case: Case, barred: Sequence[str], rng: np.random.Generator) -> tuple[Worth, ...]:
    """Return the open tests that this rider can do and that are worth their minutes, most bits a minute first.

    ``barred`` names tests that are not safe on this bike.
    """
    posterior = assess(case, read_inputs(case), rng, DRAWS, scouted=False)
    world, gains = expected_gains(posterior, barred, rng)
    order = sorted((t for t in gains if can_do(case, t)), key=lambda t: -gains[t] / t.minutes)
    return tuple(Worth(test.name, gains[test], _reason(world, test, rng) if place < REASONED else "")
                 for place, test in enumerate(order))


def _reason(world: World, test: BenchTest, rng: np.random.Generator) -> str:
    """Name the two likely causes, with different remedies, that the test tells apart best."""
    share = np.bincount(world.cause_index, minlength=len(world.causes)) / world.size
    leading = [int(c) for c in np.argsort(-share)[:LEADING] if share[c] > LEAST_SHARE]
    best, pair = 0.0, None
    for one, other in combinations(leading, 2):
        if world.causes[one].remedy == world.causes[other].remedy:
            continue
        rows = np.flatnonzero((world.cause_index == one) | (world.cause_index == other))
        two = world.taken(rng.choice(rows, PAIR_SAMPLE))
        gain = expected_gain(two, watched(test), rng) * (share[one] + share[other])
        if gain > best:
            best, pair = gain, (world.causes[one].title, world.causes[other].title)
    if pair is None:
        return ""
    return say("Of what it may be, it best tells these two apart: {one}; {other}.", one=pair[0], other=pair[1])
