"""Air springs, legs with each their own work, and forks of which nobody knows what is inside."""
from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from analysis import analyse, parse_case
from tests.reference_fork import Document, case, findings


def air_fork(pressure_bar: float) -> Document:
    """Air in the left leg alone, 320 ml under a 36 mm piston against a balance chamber; a damper in the right one."""
    told = case({"spring": None, "preload_fixed_mm": None, "oil_level_mm": 140}, fork={"springing": "air"})
    told["fork"]["left"] |= {
        "air_volume_ml": 320, "air_piston_diameter_mm": 36, "oil_level_mm": None,
        "gauge_pressure_bar": {"value": pressure_bar, "known": "measured"},
        "balance": {"volume_ml": 150, "pressure_bar": 4.5, "diameter_mm": 34}}
    return told


def pressure_wanted() -> float:
    """Arithmetic: gauge pressure at full extension, bar, with which that fork stands at 28 % of 140 mm under its rider.

    Load (200 × 0.49 − 16 + 78 × 0.42) g cos 24°; the chamber pulls, the right leg's air helps a little.
    """
    load = (200 * 0.49 - 16 + 78 * 0.42) * 9.80665 * math.cos(math.radians(24))
    x, outside, piston, chamber = 39.2, 0.101325, math.pi / 4 * 36**2, math.pi / 4 * 34**2  # mm, N/mm², mm²
    pull = ((outside + 0.45) * 150e3 / (150e3 + chamber * x) - outside) * chamber
    tube, left = math.pi / 4 * 41**2, 70.8e3 + math.pi / 4 * 41**2 * 140
    help_ = outside * (left / (left - tube * x) - 1) * tube
    absolute = ((load + pull - help_) / piston + outside) * (320e3 - piston * x) / 320e3
    return (absolute - outside) * 10


@pytest.mark.parametrize(("share", "lead"), [(0.70, "too little air pressure"), (1.35, "too much air pressure")])
def test_an_air_spring_is_judged_with_what_pulls_and_pushes_beside_it(share: float, lead: str) -> None:
    found = findings(air_fork(pressure_wanted() * share))
    assert found["causes"][0]["name"] == lead and found["causes"][0]["probability"] > 0.7


def test_the_pressure_that_suits_is_neither_too_much_nor_too_little() -> None:
    found = findings(air_fork(pressure_wanted()))
    assert found["fork"]["rider_sag_mm"]["found"] == pytest.approx(39.2, abs=0.2)
    odds = {cause["name"]: cause["probability"] for cause in found["causes"]}
    assert odds["too much air pressure"] + odds["too little air pressure"] < 0.2


@pytest.mark.parametrize(("cause", "word"), [("too little air pressure", "Pump it up"),
                                             ("too much air pressure", "Let it down")])
def test_the_air_goes_the_way_its_cause_asks_and_nothing_is_promised_that_was_not_reckoned(cause: str, word: str,
                                                                                           ) -> None:
    (advice,) = judged(air_fork(pressure_wanted()), cause)["advice"]
    assert any(step.startswith(word) for step in advice["steps"])
    assert advice["expect"].startswith("Tell us the same readings again")


def judged(document: Document, cause: str) -> dict[str, Any]:
    """The findings once a tuner has named a cause."""
    return analyse(parse_case(document), np.random.default_rng(1), view=cause).as_document()


@pytest.mark.parametrize("cause", ["too much preload", "too much compression damping", "rebound too slow",
                                   "top-out fault"])
def test_an_adjuster_that_one_leg_has_is_turned_on_that_leg(cause: str) -> None:
    for damper, one_leg in (("separate function", True), ("damper rod", False)):
        (advice,) = judged(case({"oil_level_mm": 140}, fork={"damper": damper}), cause)["advice"]
        assert any("turn only the leg" in step for step in advice["steps"]) == one_leg


@pytest.mark.parametrize(("damper", "looked"), [(None, False), ({"value": "damper rod", "known": "guessed"}, False),
                                                ("damper rod", True)])
def test_what_nobody_has_looked_into_is_looked_up_before_it_is_opened(damper: object, looked: bool) -> None:
    told = case({"oil_level_mm": 60}, fork={"damper": damper})
    (advice,), order = judged(told, "trapped air pressure")["advice"], judged(told, "over-filled")["service"]["order"]
    assert ("Find out from the manual" in advice["steps"][0]) == (not looked)
    assert ("Find out from the manual" in order[0]) == (not looked)


def test_coils_that_touch_are_not_promised_to_touch_again() -> None:
    binds = {"oil_level_mm": 140, "spring": {"rate_n_per_mm": 8.5, "free_length_mm": 300, "wire_diameter_mm": 5.2,
                                             "total_coils": 36}}
    (advice,) = judged(case(binds), "coil bind")["advice"]
    assert "should reach" not in advice["expect"]


def test_no_coil_spring_is_offered_for_an_air_sprung_fork() -> None:
    assert findings(air_fork(pressure_wanted()))["fork"]["springs"] == []
