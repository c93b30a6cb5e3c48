"""Base rates follow confirmed cases, slowly, never below a floor, and bike by bike."""
from __future__ import annotations

import numpy as np
import pytest

from analysis import analyse, engine, parse_case, posterior
from analysis.base_rates import FLOOR, PRIOR_CASES, Seen, reweighed, starting_rates, updated_rates
from analysis.causes import causes_for
from tests.reference_fork import case

START = starting_rates()


def test_without_any_case_the_rates_are_the_catalogues() -> None:
    assert updated_rates([]) == START


def test_three_odd_cases_do_not_swing_a_rate() -> None:
    # (20 + 3) / (20 + 3 × its share): gamma mean with a prior of 20 cases (common practice, no source), by hand.
    whole = sum(cause.base_rate for cause in causes_for("coil"))
    expected = START["coil bind"] * (PRIOR_CASES + 3) / (PRIOR_CASES + 3 * START["coil bind"] / whole)
    found = updated_rates([Seen(("coil bind",))] * 3)
    assert found["coil bind"] == pytest.approx(expected, abs=1e-5)
    assert START["coil bind"] < found["coil bind"] < 1.15 * START["coil bind"]


def test_many_cases_lead_to_what_they_show() -> None:
    found = updated_rates([Seen(("coil bind",))] * 30_000 + [Seen(("over-filled",))] * 10_000)
    assert found["coil bind"] / found["over-filled"] == pytest.approx(3, rel=0.1)


def test_no_cause_falls_below_the_floor() -> None:
    assert min(updated_rates([Seen(("over-filled",))] * 100_000).values()) == FLOOR


def test_cases_without_air_springs_say_nothing_of_air_springs() -> None:
    found = updated_rates([Seen(("over-filled",))] * 200)
    assert found["too much air pressure"] == START["too much air pressure"]


def test_legs_with_work_of_their_own_say_nothing_of_unequal_oil() -> None:
    assert updated_rates([Seen(("over-filled",), "", "separate function")] * 200)["unequal oil"] == START["unequal oil"]


def test_two_causes_of_one_case_are_half_a_case_each_and_an_unknown_one_is_none() -> None:
    twice = updated_rates([Seen(("coil bind", "over-filled"))] * 2)
    once = updated_rates([Seen(("coil bind",)), Seen(("over-filled",))])
    assert twice == once and updated_rates([Seen(("something else",))] * 50) == START


@pytest.mark.parametrize("damper", ["", "separate function"])
def test_odds_weighed_anew_are_the_odds_of_a_run_with_the_new_rates(damper: str) -> None:
    told = parse_case(case({"oil_level_mm": 120}, **({"fork": {"damper": damper}} if damper else {})))
    new = START | {"over-filled": 0.01, "coil bind": 0.4, "unequal oil": 0.3}

    def odds(rates: dict[str, float] | None) -> dict[str, float]:
        found = posterior.assess(told, posterior_inputs(told), np.random.default_rng(5), 300,
                                 causes_for("coil", damper, rates), scouted=False)
        return {cause.name: float(p) for cause, p in zip(found.world.causes, found.probabilities(), strict=True)}

    after = reweighed(odds(None), "coil", damper, None, new)
    assert after == pytest.approx(odds(new), abs=1e-9)


def test_two_even_causes_of_which_one_has_become_half_as_frequent_are_two_to_one() -> None:
    rarer = START | {"coil bind": START["coil bind"] / 2}
    after = reweighed({"coil bind": 0.5, "over-filled": 0.5}, "coil", "damper rod", None, rarer)
    assert after == pytest.approx({"coil bind": 1 / 3, "over-filled": 2 / 3})


def posterior_inputs(told: engine.Case) -> engine.Inputs:
    return engine.read_inputs(told)


def test_the_engine_takes_the_rates_it_is_given(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "assess", lambda case, inputs, rng, *_, causes, **__: posterior.assess(
        case, inputs, rng, 60, causes))
    told = parse_case(case())
    runs = [analyse(told, np.random.default_rng(2), base_rates=rates).as_document()["causes"]
            for rates in (None, START | {"coil bind": 5.0})]
    plain, changed = ({one["name"]: one["probability"] for one in causes} for causes in runs)
    assert changed["coil bind"] > plain["coil bind"] * 3
