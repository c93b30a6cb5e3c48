"""Answers that are impossible together are refused; what merely fits badly is left to the findings."""
from __future__ import annotations

from typing import Any

import pytest

from analysis.document import faults_of, parse_case


@pytest.mark.parametrize(("document", "path"), [
    ({"fork": {"left": {"bore_diameter_mm": 30, "inner_parts_area_mm2": 710}}}, "fork.left.inner_parts_area_mm2"),
    ({"fork": {"right": {"spring": {"total_coils": 40, "active_coils": 41}}}}, "fork.right.spring.active_coils"),
    ({"fork": {"left": {"rebound": {"clicks_out": 22, "clicks_range": 20}}}}, "fork.left.rebound.clicks_out"),
    ({"fork": {"left": {"compression": {"clicks_out": 22, "clicks_range": 20}}}}, "fork.left.compression.clicks_out"),
    ({"fork": {"left": {"preload_turns_in": 9, "preload_turns_range": 8}}}, "fork.left.preload_turns_in"),
    ({"fork": {"left": {"spring": {"wire_diameter_mm": 9, "coil_mean_diameter_mm": 9}}}},
     "fork.left.spring.wire_diameter_mm"),
    ({"fork": {"left": {"spring": {"wire_diameter_mm": 6, "total_coils": 70, "free_length_mm": 300}}}},
     "fork.left.spring.free_length_mm"),
    ({"bench": {"sag": {"extended_mm": 150, "free_from_below_mm": 170}}}, "bench.sag.free_from_below_mm"),
    ({"bench": {"sag": {"extended_mm": 150, "rider_from_above_mm": 160}}}, "bench.sag.rider_from_above_mm"),
    ({"bike": {"mass_kg": 110, "front_load_kg": 150}}, "bike.front_load_kg"),
])
def test_an_impossible_pair_is_refused_at_its_place(document: dict[str, Any], path: str) -> None:
    assert [fault.path for fault in faults_of(document)] == [path]


def test_a_parts_area_just_below_the_bore_is_taken() -> None:
    assert faults_of({"fork": {"left": {"bore_diameter_mm": 30, "inner_parts_area_mm2": 706}}}) == ()


def test_the_whole_range_of_an_adjuster_may_be_used() -> None:
    assert faults_of({"fork": {"left": {"preload_turns_in": 8, "preload_turns_range": 8,
                                        "rebound": {"clicks_out": 20, "clicks_range": 20}}}}) == ()


def test_a_guessed_range_is_asked_back_rather_than_refused() -> None:
    case = parse_case({"fork": {"left": {"rebound": {
        "clicks_out": 22, "clicks_range": {"value": 20, "known": "guessed"}}}}})
    assert [doubt.path for doubt in case.doubts] == ["fork.left.rebound.clicks_out"]


def test_a_reading_one_millimetre_too_long_is_a_slip_of_the_tape() -> None:
    case = parse_case({"bench": {"sag": {"extended_mm": 150, "free_from_below_mm": 151}}})
    assert [doubt.path for doubt in case.doubts] == ["bench.sag.free_from_below_mm"]


@pytest.mark.parametrize("document", [
    {"fork": {"travel_mm": 100}, "bench": {"sag": {"rider_sag_mm": 130}}},
    {"fork": {"travel_mm": 100}, "bench": {"travel": {"used_mm": 120}}},
    {"bench": {"sag": {"free_sag_mm": 40, "rider_sag_mm": 30}}},
])
def test_what_does_not_fit_together_is_left_to_the_findings(document: dict[str, Any]) -> None:
    assert faults_of(document) == ()


def test_swapped_tube_diameters_are_asked_back() -> None:
    leg = {"bore_diameter_mm": 41, "stanchion_diameter_mm": 37}
    case = parse_case({"fork": {"layout": "right way up", "left": leg}})
    assert "swapped" in case.doubts[0].question
    assert parse_case({"fork": {"left": leg}}).doubts == case.doubts
    assert parse_case({"fork": {"layout": "upside down", "left": leg}}).doubts == ()


# ISO 2533: 1013 hPa at sea level, 795 hPa at 2000 m.
@pytest.mark.parametrize(("bar", "metres", "refused"), [(-0.85, 0, False), (-0.85, 2000, True), (-0.7, 2000, False)])
def test_no_leg_holds_less_than_nothing(bar: float, metres: float, refused: bool) -> None:
    faults = faults_of({"fork": {"left": {"gauge_pressure_bar": bar}}, "use": {"altitude_m": metres}})
    assert [fault.path for fault in faults] == (["fork.left.gauge_pressure_bar"] if refused else [])
    assert all("less than nothing" in fault.problem and "0.79 bar" in fault.problem for fault in faults)


def test_a_rear_wheel_that_carries_more_than_the_bike_is_a_fault() -> None:
    bike = {"mass_kg": 200, "rear_load_kg": 300}
    assert [fault.path for fault in faults_of({"bike": bike})] == ["bike.rear_load_kg"]
    assert faults_of({"bike": bike | {"rear_load_kg": 110}}) == ()
