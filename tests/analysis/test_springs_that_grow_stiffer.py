"""Two-rate and progressive springs are judged by what they carry at the sag, not by the rate they start with."""
from __future__ import annotations

import math

import numpy as np
import pytest

from analysis import analyse, parse_case
from analysis.inputs import read_inputs
from analysis.leg_parts import middle
from analysis.setups import air_from_stop
from analysis.stop import Stop, pressure_ratio, stop_felt
from tests.reference_fork import SEAL, STROKE, Document, case, findings

SAG, PRELOAD, TRAVEL = 39.2, 15.0, 140.0
"""Rider sag that suits, 28 % of the stroke, and the squeeze at full extension, mm."""
LOAD = (200 * 0.49 - 16 + 78 * 0.42) * 9.80665 * math.cos(math.radians(24))
TUBE, LEFT = math.pi / 4 * 41**2, 70.8e3 + math.pi / 4 * 41**2 * TRAVEL
EACH = LOAD / 2 - 0.101325 * TUBE * (LEFT / (LEFT - TUBE * SAG) - 1)
"""What each spring carries there, N, once the air has its part: arithmetic."""
SQUEEZE = PRELOAD + SAG
TWO = {"kind": "two rates", "changes_at_mm": 20.0}


def springs(share: float = 1.0) -> dict[str, Document]:
    """Springs of each kind that carry that load at that sag, times a share: F = k₁ c₁ + k₂ (c − c₁) and its kin."""
    straight, first = EACH / SQUEEZE, EACH / (20 + 2.2 * (SQUEEZE - 20))
    growing = EACH / (SQUEEZE + SQUEEZE**2 / (2 * (TRAVEL + PRELOAD)))
    return {"straight": {"rate_n_per_mm": share * straight},
            "two rates": {"rate_n_per_mm": share * first, "second_rate_n_per_mm": share * 2.2 * first, **TWO},
            "progressive": {"rate_n_per_mm": share * growing, "second_rate_n_per_mm": share * 2 * growing,
                            "kind": "progressive"}}


def fork(spring: Document, **parts: Document) -> Document:
    return case({"spring": spring, "oil_level_mm": 140}, **parts)


@pytest.mark.parametrize("kind", springs())
def test_springs_that_give_the_sag_that_suits_are_neither_too_soft_nor_too_stiff(kind: str) -> None:
    found = findings(fork(springs()[kind]))
    assert found["fork"]["rider_sag_mm"]["found"] == pytest.approx(SAG, abs=0.1)
    odds = {cause["name"]: cause["probability"] for cause in found["causes"]}
    assert odds["spring too soft"] + odds["spring too stiff"] < 0.1


@pytest.mark.parametrize("kind", springs())
@pytest.mark.parametrize(("share", "cause"), [(0.65, "spring too soft"), (1.6, "spring too stiff")])
def test_springs_that_do_not_are_called_so(kind: str, share: float, cause: str) -> None:
    assert findings(fork(springs(share)[kind]))["causes"][0]["name"] == cause


@pytest.mark.parametrize("kind", springs())
def test_the_shelf_lies_around_the_straight_spring_that_would_do(kind: str) -> None:
    rates = [spring["rate_n_per_mm"] for spring in findings(fork(springs()[kind]))["fork"]["springs"]]
    assert rates[3] == round(2 * EACH / SQUEEZE) / 2


def test_what_a_stop_tells_of_the_air_counts_the_whole_spring() -> None:
    """Arithmetic: at 100 mm each spring of 5 and, from 20 mm of squeeze, 11 N/mm pushes 5 × 20 + 11 × 95 = 1145 N."""
    spring = {"rate_n_per_mm": 5, "second_rate_n_per_mm": 11, **TWO}
    told = parse_case(case({"spring": spring}, bench={"travel": {"used_mm": 100, "end_feel": "stops dead"}}))
    inputs, stop = read_inputs(told), stop_felt(told)
    assert isinstance(stop, Stop)
    braking = ((278 - 16) * math.cos(math.radians(24)) + 278 * math.sin(math.radians(24))) * 9.80665
    ratio = float(pressure_ratio(inputs, stop, 0.0, braking, SEAL, 2 * 1145.0))
    left = SEAL * (0.100 / (1 - ratio ** (-1 / 1.2)) - STROKE)
    assert air_from_stop(inputs, "left", stop, middle) == pytest.approx(left, abs=1e-9)


@pytest.mark.parametrize("kind", springs())
def test_advice_says_which_rate_of_a_growing_spring_it_means(kind: str) -> None:
    told = fork(springs(1.6)[kind])
    (advice,) = analyse(parse_case(told), np.random.default_rng(1), view="spring too stiff").as_document()["advice"]
    assert any("at the start of springs" in step for step in advice["steps"]) == (kind != "straight")
