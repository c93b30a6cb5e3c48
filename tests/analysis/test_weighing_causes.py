"""The posterior: against a dense sum, against Bayes' rule by hand, and against itself."""
from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from analysis.catalogue import QUESTIONS
from analysis.causes import BY_NAME, CAUSES, Cause, Prior
from analysis.document import parse_case
from analysis.estimates import ML, MM, Estimate
from analysis.fork import stroke_under
from analysis.inputs import Inputs, read_inputs
from analysis.labels import DOUBT
from analysis.leg import Leg
from analysis.leg_parts import middle
from analysis.observations import ANSWERS, READINGS
from analysis.posterior import Evidence, Posterior, assess, moved_most
from analysis.setups import loads_of
from analysis.world import World
from tests.reference_fork import Document, case

FIXED = 1e-9
NO_SPRINGS = {"spring": None, "preload_fixed_mm": None}
"""Nothing said of springs and preload: what is said of them is evidence too."""


def sharp(inputs: Inputs, **kept: Estimate | None) -> Inputs:
    """The same inputs without any spread, so that only the story's own quantity is hidden."""
    def plain(value: Any) -> Any:
        return replace(value, sd=FIXED * abs(value.value)) if isinstance(value, Estimate) else value

    def leg(one: Any) -> Any:
        return replace(one, **{name: plain(value) for name, value in vars(one).items()})

    values = {name: plain(value) for name, value in vars(inputs).items()}
    return replace(inputs, **values | {"left": leg(inputs.left), "right": leg(inputs.right)} | kept)


def with_prior(name: str, base_rate: float, **priors: Any) -> Cause:
    """A cause that hides nothing but what is given."""
    still = {"excess_ml": Prior(0, FIXED), "apart_ml": Prior(0, FIXED), "preload_mm": Prior(0, FIXED),
             "rate_share": Prior(1, FIXED), "friction_n": (60.0, FIXED), "damping_n": (150.0, FIXED),
             "lost_stroke_mm": Prior(0, FIXED), "bind_margin_mm": Prior(35, FIXED), "slip_mm": Prior(0, FIXED)}
    return Cause(name, name, name, base_rate, **still | priors)


def normal(x: np.ndarray, mean: Any, sd: float) -> np.ndarray:
    return np.asarray(np.exp(-0.5 * ((x - mean) / sd) ** 2) / (math.sqrt(2 * math.pi) * sd))


def test_bayes_by_hand_for_two_and_for_four_causes() -> None:
    # Bayes: .01 / .99 / .95 gives 1/6 with .05 for the other (arithmetic); .4 .3 .2 .1 with .9 .3 .3 .1 likewise.
    for prior, likelihood, expected in (
            ([0.01, 0.99], [0.99, 0.05], [1 / 6, 5 / 6]),
            ([0.4, 0.3, 0.2, 0.1], [0.9, 0.3, 0.3, 0.1], [0.69231, 0.17308, 0.11538, 0.01923])):
        told = parse_case({})
        causes = [with_prior(str(k), p) for k, p in enumerate(prior)]
        posterior = assess(told, read_inputs(told), np.random.default_rng(0), 40, causes)
        row = np.log(np.array(likelihood))[posterior.world.cause_index]
        weighed = Posterior(posterior.world, (Evidence("x", "x", "measured", row),), np.array(prior))
        np.testing.assert_allclose(weighed.probabilities(), expected, atol=6e-4)
        np.testing.assert_allclose(weighed.probabilities(("x",)), np.array(prior) / sum(prior), atol=1e-12)


def test_a_level_alone_is_weighed_as_a_dense_sum_weighs_it() -> None:
    told = parse_case(case({"oil_level_mm": 115, **NO_SPRINGS}))
    inputs = sharp(read_inputs(told))
    inputs = replace(inputs, left=replace(inputs.left, level=Estimate(0.115, 0.010, "measured")),
                     right=replace(inputs.right, level=None))
    causes = [with_prior("full", 0.3, excess_ml=Prior(60, 30, 20, 330)),
              with_prior("fine", 0.7, excess_ml=Prior(0, 8))]
    found = assess(told, inputs, np.random.default_rng(1), 20_000, causes).probabilities()

    area = inputs.left.gas_area
    excess = np.linspace(-60, 330, 40_001) * ML
    reading = (1 - DOUBT["measured"]) * normal(area * (0.140 - 0.115), excess, area * 0.010) + DOUBT["measured"] / 3e-4
    full = normal(excess, 60 * ML, 30 * ML) * (excess >= 20 * ML)
    fine = normal(excess, 0.0, 8 * ML)
    weight = np.array([0.3 * (full * reading).sum() / full.sum(), 0.7 * (fine * reading).sum() / fine.sum()])
    np.testing.assert_allclose(found, weight / weight.sum(), atol=0.01)


def test_a_level_and_a_stroke_together_are_weighed_as_a_dense_sum_weighs_them() -> None:
    """Two causes, one hidden quantity: the level in closed form, the travel used through the fork's physics."""
    told = parse_case(case({"oil_level_mm": 110, **NO_SPRINGS}, bench={"travel": {"used_mm": 96}}))
    inputs = sharp(read_inputs(told))
    inputs = replace(inputs, left=replace(inputs.left, level=Estimate(0.110, 0.012, "measured")),
                     right=replace(inputs.right, level=None))
    causes = [with_prior("full", 0.2, excess_ml=Prior(60, 40, 10, 330)),
              with_prior("fine", 0.8, excess_ml=Prior(0, 15))]
    posterior = assess(told, inputs, np.random.default_rng(2), 25_000, causes, scouted=False)
    # The world also draws how hard the ride was, what suits the bike and the gas's exponent: those stay as drawn.
    world = posterior.world
    grid = np.linspace(-60, 200, 131) * ML
    some = slice(0, 2000)
    stroke = np.empty((grid.size, 2000))
    load = np.maximum(world.brake_load * world.effort, 0.3 * world.free_load)[some]
    for row, over in enumerate(grid):
        legs = Leg(world.seal_area["left"][some], world.stroke[some], world.book_air["left"][some] - over,
                   inputs.closed_pressure, inputs.ride_pressure, world.rate[some], world.preload[some],
                   np.minimum(world.bind, world.stroke)[some])
        stroke[row] = stroke_under(type(world.as_is)(legs, legs), load, world.n_fast[some])
    used = (1 - DOUBT["measured"]) * normal(np.array(0.096), stroke, math.hypot(3 * MM, 3 * MM)) + (
        DOUBT["measured"] / 0.300)
    area = inputs.left.gas_area
    level = (1 - DOUBT["measured"]) * normal(area * 0.030, grid, area * 0.012) + DOUBT["measured"] / 3e-4
    prior = np.stack([normal(grid, 60 * ML, 40 * ML) * (grid >= 10 * ML), normal(grid, 0.0, 15 * ML)])
    prior /= prior.sum(axis=1, keepdims=True)
    weight = np.array([0.2, 0.8]) * (prior * level * used.mean(axis=1)).sum(axis=1)
    error = float(posterior.standard_errors()[0])
    assert error < 0.01
    np.testing.assert_allclose(posterior.probabilities(), weight / weight.sum(), atol=0.01 + 3 * error)


def test_a_spring_rate_counts_per_newton_and_millimetre() -> None:
    """Dense sum over what the load needs and what the story says, the reading's density taken over the rate."""
    told = parse_case(case({"spring": {"rate_n_per_mm": 10.0}, "preload_fixed_mm": None}))
    inputs = read_inputs(told)
    causes = [with_prior("stiff", 0.5, rate_share=Prior(1.30, 0.15)),
              with_prior("fine", 0.5, rate_share=Prior(1, 0.07))]
    posterior = assess(told, inputs, np.random.default_rng(3), 20_000, causes, scouted=False)
    needed = posterior.world.needed_rate
    rate, sd = 10_000.0, 300.0
    weight = np.array([np.mean(0.95 * normal(np.array(rate), mean * needed, np.hypot(sd, spread * needed))
                               + 0.05 / (1.5 * rate)) for mean, spread in ((1.30, 0.15), (1.0, 0.07))])
    np.testing.assert_allclose(posterior.probabilities(), weight / weight.sum(), atol=0.01)


@pytest.mark.parametrize("level", [70, 100, 132])
def test_correcting_the_draws_by_a_reading_equals_weighing_plain_draws_by_it(level: float) -> None:
    causes = [BY_NAME[name] for name in ("over-filled", "nothing wrong or measured badly", "too little oil")]
    told = parse_case(case({"oil_level_mm": {"value": level, "known": "guessed"}}))
    inputs = read_inputs(told)
    inputs = replace(inputs, right=replace(inputs.right, level=None))
    corrected = assess(told, inputs, np.random.default_rng(5), 4000, causes)
    plain_inputs = replace(inputs, left=replace(inputs.left, level=None))
    plain = assess(told, plain_inputs, np.random.default_rng(6), 12_000, causes)
    world, reading = plain.world, inputs.left.level
    assert reading is not None
    area = world.gas_area["left"]
    sd = area * reading.sd
    gap = area * (world.book_level["left"] - reading.value) - world.excess["left"]
    fits = 0.7 * np.exp(-0.5 * (gap / sd) ** 2) / (math.sqrt(2 * math.pi) * sd) * area / area.mean()
    row = np.log(fits + 0.3 / (300 * ML))
    weighed = Posterior(world, (*plain.evidence, Evidence("level", "level", "guessed", row)),
                        np.array([c.base_rate for c in causes]))
    error = np.hypot(weighed.standard_errors(), corrected.standard_errors())
    np.testing.assert_allclose(corrected.probabilities(), weighed.probabilities(), atol=0.005 + 3 * float(error.max()))


def test_the_standard_error_is_the_scatter_between_seeds() -> None:
    told = parse_case(case(bench={"travel": {"used_mm": 100, "end_feel": "stops dead"}, "sag": {"rider_sag_mm": 38}}))
    inputs = read_inputs(told)
    runs = [assess(told, inputs, np.random.default_rng(seed), 300) for seed in range(40)]
    scatter = np.std([run.probabilities()[0] for run in runs], ddof=1)
    stated = float(np.mean([run.standard_errors()[0] for run in runs]))
    assert 0.6 < stated / scatter < 1.6


def test_leaving_a_piece_out_is_never_having_had_it() -> None:
    told = {"push": {"end_feel": "stops dead"}, "travel": {"used_mm": 100}}
    document, less = case(bench=told), case(bench={"travel": told["travel"]})
    with_both = assess(parse_case(document), read_inputs(parse_case(document)), np.random.default_rng(7), 500)
    alone = assess(parse_case(less), read_inputs(parse_case(less)), np.random.default_rng(7), 500)
    np.testing.assert_allclose(with_both.probabilities(("bench.push.end_feel",)), alone.probabilities(), atol=0.05)
    first, bits = moved_most(with_both, 0)[0]
    p, q = with_both.probabilities()[0], with_both.probabilities((first.path,))[0]
    assert bits == pytest.approx(math.log2(p / (1 - p)) - math.log2(q / (1 - q)))


def test_a_guess_moves_less_than_a_reading_and_still_moves() -> None:
    def over_filled(known: str) -> float:
        told = parse_case(case(bench={"travel": {"end_feel": {"value": "stops dead", "known": known}}}))
        return float(assess(told, read_inputs(told), np.random.default_rng(8), 1500).probabilities()[0])

    nothing = parse_case(case())
    base = float(assess(nothing, read_inputs(nothing), np.random.default_rng(8), 1500).probabilities()[0])
    assert base < over_filled("guessed") < over_filled("remembered") < over_filled("measured")


def test_every_cause_has_a_way_to_be_put_right_and_the_base_rates_are_shares() -> None:
    assert all(0 < cause.base_rate < 1 and cause.remedy and cause.title for cause in CAUSES)
    told = parse_case(case())
    known = assess(told, read_inputs(told), np.random.default_rng(0), 50)
    np.testing.assert_allclose(known.probabilities([e.path for e in known.evidence]).sum(), 1.0)
    assert float(loads_of(read_inputs(parse_case(case())), middle).free) == pytest.approx(734.6, abs=0.1)


def world_of(document: Document) -> World:
    told = parse_case(document)
    inputs = read_inputs(told)
    return World(told, inputs, [BY_NAME["nothing wrong or measured badly"]], 200, np.random.default_rng(3))


def test_an_air_spring_nobody_has_read_has_about_the_pressure_that_its_load_needs() -> None:
    unread = world_of(case({"spring": None, "oil_level_mm": 140}, fork={"springing": "air"}))
    assert np.median(unread.air_share) == pytest.approx(1.0, abs=0.1) and unread.air_share.std() > 0.03


def test_a_world_that_is_settled_has_the_same_forks() -> None:
    world = world_of(case({"oil_level_mm": 140}))
    before = world.fork().left.air_compressed
    world.settle()
    np.testing.assert_array_equal(world.fork().left.air_compressed, before)


def test_stroke_left_unused_counts_by_its_root_beside_the_tie_and_in_full_without_it() -> None:
    def logs(**travel: Any) -> Any:
        told = parse_case(case(bench={"bottoming": {"unused_mm": 45}, "travel": travel}))
        posterior = assess(told, read_inputs(told), np.random.default_rng(1), 300)
        return next(e.log for e in posterior.evidence if e.path == "bench.bottoming.unused_mm")

    np.testing.assert_allclose(logs(used_mm=95), 0.5 * logs(), atol=1e-9)


def test_every_answer_that_is_weighed_is_one_that_can_be_given() -> None:
    world = world_of(case({"oil_level_mm": 140}, shock={"layout": "linkage"}))
    for entry in ANSWERS:
        question = QUESTIONS[entry.path]
        can_be_said = {choice.value for choice in question.choices} or {"yes", "no"}
        weighed = entry.probabilities(world)
        assert set(weighed) <= can_be_said, entry.path
        assert all(np.all((np.asarray(p) >= 0) & (np.asarray(p) <= 1)) for p in weighed.values()), entry.path


def test_a_band_of_friction_is_that_of_the_rider_and_without_it_that_of_the_bike() -> None:
    gap = next(r for r in READINGS if r.path == "bench.sag.rider_from_above_mm")
    free = {"extended_mm": 150, "free_from_below_mm": 124, "free_from_above_mm": 128}
    rider = {"rider_from_below_mm": 108, "rider_from_above_mm": 118}
    for readings, half in ((free, 0.002), (free | rider, 0.005), ({"free_sag_mm": 25}, None)):
        found = gap.find(parse_case(case(bench={"sag": readings})))
        assert (None if found is None else found.value) == (None if half is None else pytest.approx(half))


def test_what_is_loaded_is_braked_too() -> None:
    bare, loaded = (world_of(case({"oil_level_mm": 140}, use={"luggage_kg": kg})) for kg in (0, 40))
    share = loaded.brake_load / bare.brake_load
    # Arithmetic: 318 kg in place of 278 press on the fork that much harder, but for what is not sprung.
    assert share.mean() == pytest.approx(318 / 278, abs=0.02)
