"""Numbers in the findings stand to as many places as they are worth: lengths to a tenth of a millimetre."""
from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from analysis import analyse, engine, parse_case, posterior
from tests.reference_fork import Document, case

ODD: Document = {
    "bike": {"mass_kg": 203.37, "fork_offset_mm": 31.3, "wheel_radius_front_mm": 301.7, "wheelbase_mm": 1403.3,
             "gravity_height_mm": 607.7, "rake_deg": 23.77},
    "shock": {"wheel_travel_mm": 131.3, "stroke_mm": 52.7, "preload_mm": 12.37, "spring": {"rate_n_per_mm": 95.37},
              "preload_turns_in": 4, "preload_turns_range": 12, "preload_pitch_mm_per_turn": 1.53},
    "bench": {"rebound": {"pushed_mm": 40.3, "first_past_mm": 8.3, "half_swing_s": 0.283},
              "rear_bounce": {"return_s": 0.637},
              "sag": {"extended_mm": 150.3, "rider_from_below_mm": 108.7, "rider_from_above_mm": 117.9,
                      "free_sag_mm": 24.7}},
    "use": {"temperature_c": 5.3, "pillion_kg": 61.3, "luggage_kg": 10.7}}
LEG: Document = {"oil_level_mm": 61.3, "spring": {
    "rate_n_per_mm": 8.537, "free_length_mm": 331.3, "wire_diameter_mm": 5.03, "total_coils": 29}}
PLACES = {
    r"causes\.(probability|standard_error)": 4, r"motion_ratio": 4, r"front_share": 3, r"assumed\.value": 3,
    r"(chance|probability|gain_bits|rider_share)$": 3, r"(damping_ratio|decrement|_hz)\.": 3, r"pressure_bar": 3,
    r"changes\.rake": 3, r"changes\.": 2, r"_deg$": 2, r"fork\.spread\.": 1, r"(twist|hot|springs)\.spread\.": 1,
    r"spread\.": 2, r"(compression_ratio|service\.\w+\.ratio|braking\.\w*_g|moved_bits|most_times|return_s)$": 2,
    r"hidden\.": 2, r"curves?\.(stroke|travel)_mm": 2, r"wheel_rate|curve\.rate": 2,
    r"answers\.(low|high)$": 0, r"mm_to_target$": 1,
    r"(_mm|_ml|_n|_nm|_kg|_c|_cst|turns\w*|n_per_mm)($|\.)": 1}


@pytest.fixture(scope="module")
def found() -> Iterator[dict[str, set[int]]]:
    """How many places each number has, by its path."""
    few = pytest.MonkeyPatch()
    few.setattr(engine, "assess", lambda case, inputs, rng, *_, **__: posterior.assess(case, inputs, rng, 30))
    told = case(LEG, {"oil_level_mm": 121.7}, **ODD)
    told["fork"]["oil"] = {"viscosity_40_cst": 32.3, "viscosity_index": 141}
    seen: dict[str, set[int]] = {}
    for path, number in numbers(analyse(parse_case(told), np.random.default_rng(7)).as_document()):
        seen.setdefault(path, set()).add(len(f"{number:.9f}".rstrip("0").partition(".")[2]))
    few.undo()
    yield seen


def numbers(part: Any, path: str = "") -> Iterator[tuple[str, float]]:
    if isinstance(part, float):
        yield path, part
    inside = part.items() if isinstance(part, dict) else [("", one) for one in part] if isinstance(part, list) else ()
    for name, inner in inside:
        if name != "phrases":
            yield from numbers(inner, f"{path}.{name}".strip("."))


def worth(path: str) -> str:
    return next(pattern for pattern in PLACES if re.search(pattern, path))


def test_no_number_has_more_places_than_it_is_worth(found: dict[str, set[int]]) -> None:
    assert {path: max(seen) for path, seen in found.items() if max(seen) > PLACES[worth(path)]} == {}


def test_no_number_loses_places_that_it_is_worth(found: dict[str, set[int]]) -> None:
    most: dict[str, int] = {}
    for path, seen in found.items():
        most[worth(path)] = max(most.get(worth(path), 0), *seen)
    assert {pattern: places for pattern, places in most.items() if places} == {
        pattern: places for pattern, places in PLACES.items() if places}
