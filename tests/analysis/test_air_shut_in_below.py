"""Legs that were closed low down and are ridden high up hold more air pressure than the air outside."""
from __future__ import annotations

import numpy as np
import pytest

from analysis.causes import BY_NAME
from analysis.document import parse_case
from analysis.inputs import read_inputs
from analysis.world import BAR, World
from tests.reference_fork import Document, case, findings


def climbed(closed: float | None, ridden: float | None, **more: object) -> Document:
    return case({"oil_level_mm": 140, **more}, use={"closed_altitude_m": closed, "altitude_m": ridden})


def of_trapped(told: Document) -> float:
    found = findings(told)["causes"]
    return next((cause["probability"] for cause in found if cause["name"] == "trapped air pressure"), 0.0)


def named(told: Document) -> list[str]:
    return [said for said in findings(told)["cautions"] if "is shut in" in said]


# ISO 2533: 101.325 kPa at sea level, 74.683 kPa at 2500 m (arithmetic from its formula): 26.64 kPa on two tubes of
# 41 mm, 13.203 cm² each, push with 70.3 N.
def test_what_the_climb_shuts_in_is_told_in_bar_and_newtons() -> None:
    (said,) = named(climbed(0, 2500))
    assert "closed 2500 m lower than they are ridden: 0.27 bar is shut in and pushes with about 70 N in all" in said
    assert "Let it off where you ride" in said


@pytest.mark.parametrize(("closed", "ridden"), [(0, 1100), (2500, 0), (None, 2500), (0, None), (None, None)])
def test_a_small_climb_a_descent_and_an_unknown_height_are_no_matter(
        closed: float | None, ridden: float | None) -> None:
    assert named(climbed(closed, ridden)) == []


def test_nobody_is_told_to_let_air_off_a_fork_that_has_to_stay_closed() -> None:
    sealed = climbed(0, 2500)
    sealed["fork"]["damper"] = "sealed cartridge"
    assert named(sealed) == []


def test_a_high_climb_makes_shut_in_air_a_likelier_cause() -> None:
    level, low, high = (of_trapped(climbed(*heights)) for heights in ((0, 0), (0, 1100), (0, 2600)))
    assert high > 5 * max(level, low, 0.002)


def test_what_the_climb_shuts_in_is_counted_once() -> None:
    inputs = read_inputs(parse_case(climbed(0, 2600)))
    worlds = {name: World(parse_case(climbed(0, 2600)), inputs, [BY_NAME[name]], 400, np.random.default_rng(1))
              for name in ("trapped air pressure", "nothing wrong or measured badly")}
    climb = inputs.closed_pressure - inputs.ride_pressure
    assert climb == pytest.approx(0.275 * BAR, rel=0.02)  # 101.325 − 73.8 kPa
    shut_in = worlds["trapped air pressure"]
    over_outside = climb + shut_in.trapped
    assert over_outside == pytest.approx(np.maximum(shut_in.shut_in, climb))
    assert np.abs(worlds["nothing wrong or measured badly"].trapped).max() < 0.05 * BAR
