"""Rear sags that contradict each other or the numbers given are named, and the preload follows what was measured."""
from __future__ import annotations

import pytest

from analysis.document import faults_of
from tests.reference_fork import Document, case, findings

SHOCK = {"layout": "linkage", "wheel_travel_mm": 130, "stroke_mm": 65, "spring": {"rate_n_per_mm": 90},
         "preload_mm": 10, "preload_turns_in": 4, "preload_turns_range": 12, "preload_pitch_mm_per_turn": 1.5}
MASSES = {"bike": {"unsprung_rear_kg": 20}, "rider": {"front_share": 0.42}}
CARRIED = (200 * 0.51 + 78 * 0.58 - 20) * 9.80665
"""Load at the rear wheel with the rider, N: arithmetic."""


def rear(shock: Document | None = None, **bench: float) -> Document:
    return case(shock=SHOCK | (shock or {}), bench={"rear_sag": bench} if bench else {}, **MASSES)


@pytest.mark.parametrize(("document", "words"), [
    (rear({"free_sag_mm": 35, "rider_sag_mm": 20}), "a rider can only push it deeper"),
    (rear({"rider_sag_mm": 150}), "more than the 130 mm that the wheel has"),
    (rear(extended_mm=560, rider_from_below_mm=530, rider_from_above_mm=515), "Friction can only do the opposite"),
    (rear(extended_mm=560, free_from_below_mm=550, free_from_above_mm=540), "Friction can only do the opposite")])
def test_what_cannot_be_is_asked_back(document: Document, words: str) -> None:
    (one,) = findings(document)["disagreements"]
    assert words in one["words"] and one["ask"].endswith("?") or "Please" in one["ask"]


@pytest.mark.parametrize("document", [
    rear({"free_sag_mm": 12, "rider_sag_mm": 36}), rear({"rider_sag_mm": 132}),
    rear({"free_sag_mm": 24, "rider_sag_mm": 20}),
    rear(extended_mm=560, rider_from_below_mm=520, rider_from_above_mm=528)])
def test_what_can_be_is_not(document: Document) -> None:
    assert findings(document)["disagreements"] == []


def test_a_rear_that_stands_higher_with_weight_on_it_is_a_fault() -> None:
    found = faults_of(rear(extended_mm=500, rider_from_below_mm=530, two_up_mm=520))
    assert {fault.path for fault in found} == {"bench.rear_sag.rider_from_below_mm", "bench.rear_sag.two_up_mm"}


# Arithmetic: ratio ½; the spring speaks of F/(½ · 90) − s/2.  Wanted are 27 % of 130 mm, 35.1 mm; half the difference
# of the sags is what the collar moves, whatever the preload is said to be.
@pytest.mark.parametrize("sag", [20.0, 35.1, 48.0])
def test_the_preload_moves_by_what_the_measured_sag_lacks(sag: float) -> None:
    part = findings(rear({"rider_sag_mm": sag}))["shock"]
    change = part["preload"]["for"]["rider"]["change_mm"]
    assert change == pytest.approx((sag - 35.1) / 2, abs=0.1)
    assert part["preload"]["for"]["rider"]["needed_mm"] == pytest.approx(10 + change, abs=0.1)
    assert part["preload"]["for"]["rider"]["turns"] == pytest.approx(round(2 * change / 1.5) / 2)


def test_without_a_measured_sag_it_is_reckoned_from_what_was_said() -> None:
    part = findings(rear())["shock"]["preload"]["for"]["rider"]
    assert part["needed_mm"] == pytest.approx(CARRIED / 45 - 35.1 / 2, abs=0.1)


@pytest.mark.parametrize(("sag", "words"), [(12.0, "more preload than given"), (75.0, "less preload than given")])
def test_a_sag_that_spring_and_preload_cannot_make_is_said(sag: float, words: str) -> None:
    (trouble,) = findings(rear({"rider_sag_mm": sag}))["shock"]["troubles"]
    assert words in trouble
    gap = abs(CARRIED / 45 - sag / 2 - 10)
    assert f" {gap:.0f} mm " in trouble


def test_one_that_they_can_make_is_not() -> None:
    likely = 2 * (CARRIED / 45 - 10)
    assert findings(rear({"rider_sag_mm": round(likely)}))["shock"]["troubles"] == []
