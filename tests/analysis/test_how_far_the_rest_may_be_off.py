"""Rear sag, twist, warm oil and springs on the shelf say how far they may be off, and what was only usual is listed."""
from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from analysis.document import parse_case
from analysis.rear_part import shock_part
from analysis.sway import swayed
from analysis.typical import RIDER_FRONT_SHARE
from tests.reference_fork import Document, case, findings

REAR: Document = {"wheel_travel_mm": 130, "stroke_mm": 52, "preload_mm": 12, "spring": {"rate_n_per_mm": 95}}


def rear_sag(known: str) -> dict[str, Any]:
    part = shock_part(parse_case(case(shock=REAR, rider={"mass_kg": {"value": 82, "known": known}})))
    assert part is not None
    return dict(part["sag"]["rider"])


def test_rear_sag_has_a_band_that_widens_with_a_guessed_rider() -> None:
    sure, vague = (rear_sag(known) for known in ("measured", "guessed"))
    (low, high), (lowest, highest) = sure["spread_mm"], vague["spread_mm"]
    assert lowest < low < sure["predicted_mm"] < high < highest


def rear_shelf(known: str) -> list[dict[str, Any]]:
    adjustable = REAR | {"preload_turns_in": 4, "preload_turns_range": 12, "preload_pitch_mm_per_turn": 1.5}
    part = shock_part(parse_case(case(shock=adjustable, rider={"mass_kg": {"value": 82, "known": known}})))
    assert part is not None
    return list(part["springs"])


def test_every_rear_spring_on_the_shelf_has_a_band_that_widens_with_a_guessed_rider() -> None:
    for sure, vague in zip(rear_shelf("measured"), rear_shelf("guessed"), strict=True):
        (low, high), (lowest, highest) = sure["spread"]["rider_sag_mm"], vague["spread"]["rider_sag_mm"]
        assert lowest < low < sure["rider_sag_mm"] < high < highest


def test_the_band_of_a_rear_spring_is_what_lighter_and_heavier_loads_give() -> None:
    # A constant ratio of 0.4 and no gas: the wheel sinks by load / (0.4² rate) less what the preload holds back, so the
    # band's width is the width of the load over the rate at the wheel, whatever the preload.
    one, other = rear_shelf("measured")[1:3]
    (low, high), (lower, higher) = one["spread"]["rider_sag_mm"], other["spread"]["rider_sag_mm"]
    assert (high - low) * one["rate_n_per_mm"] == pytest.approx((higher - lower) * other["rate_n_per_mm"], rel=0.01)


def test_twist_warmth_and_springs_have_bands_round_their_figures() -> None:
    fork = findings(case({"oil_level_mm": 60}, {"oil_level_mm": 120}))["fork"]
    for part, name in ((fork["twist"], "moment_nm"), (fork["when_hot"], "usable_stroke_mm"),
                       (fork["when_hot"], "rider_sag_mm"), (fork["springs"][3], "rider_sag_mm")):
        low, high = part["spread"][name]
        assert low < part[name] < high, name


@pytest.mark.parametrize("path", [
    "fork.leg_spacing_mm", "use.temperature_c", "use.oil_temperature_c", "fork.left.gauge_pressure_bar"])
def test_every_usual_value_is_listed_with_its_reason(path: str) -> None:
    assumed = {row["path"]: row for row in findings(case({"oil_level_mm": 60}, {"oil_level_mm": 120}))["assumed"]}
    assert assumed[path]["reason"] and np.isfinite(assumed[path]["value"])


def test_a_rear_spring_in_stock_is_named_by_its_rate_to_a_tenth() -> None:
    adjustable = REAR | {"preload_turns_in": 4, "preload_turns_range": 12, "preload_pitch_mm_per_turn": 1.5}
    part = shock_part(parse_case(case(shock=adjustable)), [92_260.0, 98_000.0])
    assert part is not None and [one["rate_n_per_mm"] for one in part["springs"]] == [92.3, 98.0]


def test_a_share_that_nobody_weighed_may_be_off_too() -> None:
    told = parse_case(case(rider={"mass_kg": 82}))
    moved = swayed(told, "rider.front_share")
    assert moved is not None and moved.number("rider.front_share") == pytest.approx(sum(RIDER_FRONT_SHARE))
    assert swayed(told, "tyres.pressure_rear_bar") is None
