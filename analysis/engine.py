"""The engine's one run: from a case to its findings."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

import numpy as np

from analysis.catalogue import SIDES
from analysis.causes import Cause, causes_for
from analysis.chosen import ENGINES, Chosen
from analysis.curves import curve, marks
from analysis.damping_part import damping_part
from analysis.disagreements import disagreements
from analysis.document import Case
from analysis.estimates import MM, Assumed, Estimate
from analysis.findings import Findings
from analysis.fork_more import front_springs, twist, when_hot
from analysis.fork_part import fork_part
from analysis.gates import safety_gates
from analysis.inputs import Inputs, read_inputs
from analysis.leg_parts import middle
from analysis.next_test import NextTest, next_tests
from analysis.parts import causes_part, hidden_part, preload_part, rear_parts, sag_part, service_part
from analysis.posterior import AGAIN, AIM_AGAIN, Posterior, assess
from analysis.remarks import advice_part, cautions, missing, ride_gently, stops_far_too_early
from analysis.say import say
from analysis.setups import SETS, found_air
from analysis.state import State, kept_closed
from analysis.unsafe_tests import unsafe_tests
from analysis.verdict import Verdict, tuners_verdict, verdict


def analyse(case: Case, rng: np.random.Generator, chosen: Chosen = ENGINES, view: str | None = None,
            base_rates: Mapping[str, float] | None = None,
            stock: Mapping[str, Sequence[float]] | None = None) -> Findings:
    """Return everything the engine can say of a case.

    Safety gates come first and no number outvotes them.  ``rng`` drives the draws: the same case and generator state
    give the same findings.  ``chosen`` are a tuner's own numbers for the advised set, ``view`` the name of the cause
    that a tuner holds for the right one: the odds stay, and what is advised follows the tuner.  ``base_rates`` say how
    common each cause is, by its name; None: as the catalogue starts with.  ``stock`` are
    the spring rates that can be had, N/m, under "fork" and "shock"; None: in the usual steps.
    """
    gates = safety_gates(case)
    inputs = read_inputs(case)
    causes = causes_for(case.value("fork.springing"), case.value("fork.damper"), base_rates)
    posterior = assess(case, inputs, rng, causes=causes)
    clashes = disagreements(case, inputs, posterior)
    judged = verdict(posterior, gates, clashes, lambda *paths: _again(case, paths, rng, causes))
    engines, judged = judged, judged if view is None or gates else tuners_verdict(view)
    inputs = _with_inferred_oil(case, inputs, posterior, judged)
    state = State(case, inputs, judged, gates, rng, chosen)
    front_stopped = any(gate.end in ("front", "both") for gate in gates)
    barred = kept_closed(case)
    unsafe = unsafe_tests(case, hardly_rideable=stops_far_too_early(state))
    tests = () if gates else _tests_worth_doing(posterior, engines, unsafe, rng)
    fork = fork_part(state, rng, front_stopped)
    if not front_stopped:
        fork |= {"springs": front_springs(state, rng, (stock or {}).get("fork", ())),
                 "twist": twist(state, rng), "when_hot": when_hot(state, rng)}
    also_assumed = [Assumed(**row) for part in (fork.get("twist"), fork.get("when_hot")) if part
                    for row in part.pop("assumed")]
    shock, chassis = rear_parts(state, fork, [gate.end for gate in gates], (stock or {}).get("shock", ()))
    named = judged.cause if judged.kind == "cause" else None  # what it only leans towards is no reason yet
    return Findings(
        fork=fork, sag=sag_part(state), preload=preload_part(state.check, front_stopped),
        service=None if front_stopped else service_part(state.sheet), shock=shock, chassis=chassis,
        damping=damping_part(case),
        causes=causes_part(posterior), hidden=hidden_part(posterior), verdict=judged,
        next_test=_test_part(tests[0]) if tests else None, tests=[_test_part(test) for test in tests],
        gates=gates, ride_gently=ride_gently(case, fork, gates, named), cautions=cautions(state, barred),
        assumed=(*inputs.assumed, *also_assumed),
        doubts=[{"path": d.path, "question": d.question} for d in case.doubts],
        disagreements=clashes, missing=missing(case), advice=advice_part(state, fork, front_stopped),
        marks=marks(state.forks, fork, case, inputs), curves=[
            curve(name, drawn) for name in SETS if (drawn := state.forks[name]) is not None
            and not (front_stopped and name == "advised")],
        engines_verdict=None if engines is judged else engines,
    )


def _test_part(test: NextTest) -> dict[str, Any]:
    return {"name": test.test.name, "title": test.test.title, "why": test.test.purpose, "minutes": test.test.minutes,
            "gain_bits": round(test.gain_bits, 3), "by_workshop": test.by_workshop,
            "expect": [{"cause": title, "words": words} for title, words in test.expect],
            "answers": [asdict(meant) for meant in test.answers]}


def _tests_worth_doing(posterior: Posterior, judged: Verdict, barred: Sequence[str], rng: np.random.Generator,
                       ) -> tuple[NextTest, ...]:
    """Return the next tests; where a guess alone makes all look settled, those that would tell without the guess."""
    case = posterior.world.case
    soft = tuple(path for path, answer in case.answers.items() if answer.known in ("guessed", "remembered"))
    tests = next_tests(posterior, barred, rng)
    if tests or judged.kind != "cannot tell yet" or not soft:
        return tests
    return next_tests(_again(case, soft, rng, posterior.world.causes), barred, rng)


def _again(case: Case, paths: tuple[str, ...], rng: np.random.Generator, causes: Sequence[Cause]) -> Posterior:
    """Assess the case as if some answers had not been given."""
    rest = case.without(*paths)
    return assess(rest, read_inputs(rest), rng, AGAIN, causes, aim=AIM_AGAIN)


def _with_inferred_oil(case: Case, inputs: Inputs, posterior: Posterior, judged: Verdict) -> Inputs:
    """Where a cause is named but no oil was measured, work with the level that the evidence speaks of, and say so."""
    known = any(found_air(inputs, case, side, middle)[1] for side in SIDES)
    if known or judged.kind != "cause" or any(inputs.leg(side).level_book is None for side in SIDES):
        return inputs
    world = posterior.world
    rows = np.array([c.name for c in world.causes])[world.cause_index] == judged.cause
    legs, assumed = {}, []
    for side in SIDES:
        level = world.book_level[side] - world.excess[side] / world.gas_area[side]
        low, mid, high = posterior.quantiles(level, rows=rows)
        legs[side] = replace(inputs.leg(side), level=Estimate(mid, (high - low) / 3.29, "assumed"))
        assumed.append(Assumed(f"fork.{side}.oil_level_mm", round(mid / MM, 1), "mm",
                               say("Not measured. The other answers speak of {low} to {high} mm.",
                                   low=f"{low / MM:.0f}", high=f"{high / MM:.0f}")))
    return replace(inputs, left=legs["left"], right=legs["right"], assumed=(*inputs.assumed, *assumed))
