"""Of all the times it says eight in ten it is right in eight of ten: stories drawn from the model, judged blind."""
from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.stats import binom

from analysis.case import Answer, Case
from analysis.document import parse_case
from analysis.inputs import read_inputs
from analysis.observations import ANSWERS
from analysis.posterior import assess
from analysis.world import World
from tests.reference_fork import case

CASES, DRAWS, SEED = 150, 150, 20
TOLD = ("bench.travel.end_feel", "bench.push.came_back")
STROKES = {"bench.sag.free_sag_mm": "free_sag", "bench.sag.rider_sag_mm": "rider_sag",
           "bench.travel.used_mm": "ride_stroke"}


def simulated(base: Case, world: World, row: int, rng: np.random.Generator) -> Case:
    """What the rider of one drawn fork would write down, plain slips and all."""
    found: dict[str, Answer] = dict(base.answers)
    band = float(0.6 * (world.friction / world.sag_stiffness)[row])
    for path, name in STROKES.items():
        off = float(np.hypot(2e-3, band)) if "sag" in path else 3e-3
        value = float(getattr(world, name)[row]) + (float(world.slip[row]) if "travel" in path else 0.0)
        value += float(np.hypot(3e-3, off)) * rng.standard_normal()
        width = 0.150 if "sag" in path else 0.300
        value = rng.uniform(0, width) if rng.random() < 0.02 else value
        found[path] = Answer(path, value, 3e-3, "measured", "")
    for entry in ANSWERS:
        if entry.path in TOLD:
            chances = {name: float(p[row]) for name, p in entry.probabilities(world).items()}
            names = list(chances)
            pick = int(rng.choice(len(names), p=np.array(list(chances.values())) / sum(chances.values())))
            found[entry.path] = Answer(entry.path, names[pick], 0.0, "measured", "")
    return Case(found, base.unknown, ())


@pytest.fixture(scope="module")
def judged() -> tuple[Any, Any, Any]:
    """Stated probabilities, one row a case; the cause that was really drawn; and the base rates."""
    rng = np.random.default_rng(SEED)
    # Springs and preload not told, so that nothing but the model's own story is behind each case.
    base = parse_case(case({"spring": None, "preload_fixed_mm": None}))
    inputs = read_inputs(base)
    causes = assess(base, inputs, rng, 10).world.causes
    world = World(base, inputs, causes, 400, rng)
    rates = np.array([cause.base_rate for cause in causes])
    weights = np.exp(world.log_prior) * (rates / 400)[world.cause_index]
    rows = rng.choice(world.size, CASES, p=weights / weights.sum())
    stated = np.array([assess(told, read_inputs(told), rng, DRAWS).probabilities()
                       for told in (simulated(base, world, int(row), rng) for row in rows)])
    return stated, world.cause_index[rows], rates / rates.sum()


def test_it_predicts_better_than_the_base_rates(judged: tuple[Any, Any]) -> None:
    stated, true, rates = judged
    hit = np.eye(rates.size)[true]
    brier = float(((stated - hit) ** 2).sum(axis=1).mean())
    by_rates = float(((rates - hit) ** 2).sum(axis=1).mean())
    assert brier < 0.85 * by_rates


def test_the_leader_is_right_as_often_as_it_says(judged: tuple[Any, Any]) -> None:
    stated, true, _ = judged
    said = stated.max(axis=1)
    hits = int((stated.argmax(axis=1) == true).sum())
    low, high = binom.ppf((0.005, 0.995), CASES, said.mean())
    assert low <= hits <= high


def test_what_it_calls_unlikely_is_rare(judged: tuple[Any, Any]) -> None:
    stated, true, rates = judged
    hit = np.eye(rates.size)[true]
    for low, high in ((0.0, 0.1), (0.1, 0.4), (0.4, 1.0)):
        rows = (stated >= low) & (stated < high)
        band = binom.ppf((0.001, 0.999), rows.sum(), stated[rows].mean())
        assert band[0] <= hit[rows].sum() <= band[1]
