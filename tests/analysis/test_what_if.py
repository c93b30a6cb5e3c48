"""A slider moves one answer; the fork's curves and figures follow."""
from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from analysis import CaseFaults, analyse, parse_case
from analysis.what_if import what_if, with_changes


def leg() -> dict[str, Any]:
    return {"stanchion_diameter_mm": 41, "bore_diameter_mm": 36, "inner_parts_area_mm2": 0, "oil_level_mm": 140,
            "oil_level_book_mm": 140, "steel_volume_ml": 53.7, "cap_intrusion_ml": 18,
            "spring": {"rate_n_per_mm": 8.5}, "preload_fixed_mm": 15}


def document() -> dict[str, Any]:
    return {"bike": {"mass_kg": 200, "front_share": 0.49, "unsprung_front_kg": 16, "rake_deg": 24},
            "rider": {"mass_kg": 85, "front_share": 0.42},
            "fork": {"travel_mm": 140, "damper": "damper rod", "left": leg(), "right": leg()}}


def test_the_document_itself_stays_as_it_was() -> None:
    before = json.dumps(document())
    given = document()
    changed = with_changes(given, {"fork.left.oil_level_mm": 60, "use.altitude_m": 2000, "rider.mass_kg": None})
    assert json.dumps(given) == before
    assert changed["fork"]["left"]["oil_level_mm"] == 60
    assert changed["use"] == {"altitude_m": 2000}
    assert "mass_kg" not in changed["rider"]


def test_more_oil_moves_the_found_curve_and_leaves_the_books_alone() -> None:
    as_is = what_if(document(), {})
    fuller = what_if(document(), {"fork.left.oil_level_mm": 42, "fork.right.oil_level_mm": "42 mm"})
    assert fuller["fork"]["usable_stroke_mm"]["found"] < as_is["fork"]["usable_stroke_mm"]["found"] - 30
    assert fuller["fork"]["usable_stroke_mm"]["book"] == as_is["fork"]["usable_stroke_mm"]["book"]
    assert fuller["fork"]["left"]["lock_stroke_mm"] == pytest.approx(118.1, abs=0.2)


def test_without_a_change_it_says_what_the_full_assessment_says() -> None:
    full = analyse(parse_case(document()), np.random.default_rng(1)).as_document()
    quick = what_if(document(), {}, full["verdict"]["cause"] if full["verdict"]["kind"] == "cause" else None)
    assert quick["curves"] == full["curves"]
    assert quick["marks"] == full["marks"]
    for name in ("usable_stroke_mm", "rider_sag_mm", "limited_by"):
        assert quick["fork"][name] == full["fork"][name]


def test_the_same_move_gives_the_same_band() -> None:
    move = {"fork.left.preload_fixed_mm": 25, "fork.right.preload_fixed_mm": 25}
    assert what_if(document(), move) == what_if(document(), move)


def test_a_change_that_cannot_be_accepted_is_refused_with_its_path() -> None:
    with pytest.raises(CaseFaults) as refused:
        what_if(document(), {"fork.left.oil_level_mm": "a lot"})
    assert [fault.path for fault in refused.value.faults] == ["fork.left.oil_level_mm"]


def test_a_stop_sign_takes_the_advised_set_away() -> None:
    stopped = what_if(document(), {"safety.cap_damaged": True})
    assert [curve["name"] for curve in stopped["curves"]] == ["found", "book"]
    assert stopped["fork"]["usable_stroke_mm"]["advised"] is None
