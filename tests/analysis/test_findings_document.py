"""What comes out: every key, no number that is none, the same twice, in any units."""
from __future__ import annotations

import json
from typing import Any

import pytest

from tests.reference_fork import Document, case, findings, leg_answers

SETS = {"found", "book", "advised"}
VOLUMES = {"air_volume_compressed_ml", "air_volume_extended_ml", "compression_ratio", "lock_stroke_mm"}
FIGURES = {"usable_stroke_mm", "limited_by", "free_sag_mm", "rider_sag_mm", "coil_bind_stroke_mm"}
TOP = {"schema", "engine", "fork", "sag", "preload", "service", "shock", "chassis", "causes", "hidden", "verdict",
       "next_test", "stop_riding", "stop_reasons", "ride_gently", "cautions", "assumed", "doubts", "disagreements",
       "missing", "advice", "marks", "curves"}
BENCH: Document = {"travel": {"used_mm": 95, "end_feel": "stops dead"}, "sag": {"free_sag_mm": 25, "rider_sag_mm": 38}}


@pytest.fixture(scope="module")
def full() -> Document:
    return findings(case({"oil_level_mm": 42}, bench=BENCH))


@pytest.fixture(scope="module")
def bare() -> Document:
    return findings({})


def test_every_key_is_there(full: Document, bare: Document) -> None:
    for found in (full, bare):
        assert set(found) >= TOP
        assert set(found["fork"]) >= FIGURES | {"left", "right", "brake_load_n", "spread"}
        for side in ("left", "right"):
            assert set(found["fork"][side]) >= VOLUMES | {"excess_oil_ml", "book", "advised", "spread"}
            assert set(found["fork"][side]["book"]) == VOLUMES == set(found["fork"][side]["advised"])
        for name in FIGURES | {"brake_load_n"}:
            assert set(found["fork"][name]) == SETS
        assert {"kind", "cause", "words", "why_open"} <= set(found["verdict"])
        assert {"name", "title", "probability", "standard_error", "remedy", "moved_by"} <= set(found["causes"][0])
        assert {"name", "unit", "low", "middle", "high"} == set(found["hidden"][0])
        assert {"stroke_mm", "found", "advised", "measured"} <= set(found["marks"])


def test_it_is_json_without_nan_or_infinity(full: Document, bare: Document) -> None:
    for found in (full, bare):
        assert json.loads(json.dumps(found, allow_nan=False)) == json.loads(json.dumps(found))


def test_the_numbers_are_the_reference_forks(full: Document) -> None:
    # Arithmetic of the reference fork with 98 mm of level missing: 99.75 ml too much in each leg.
    left = full["fork"]["left"]
    assert left["excess_oil_ml"] == pytest.approx(99.8, abs=0.1)
    assert left["air_volume_compressed_ml"] == pytest.approx(-28.9, abs=0.15)
    assert left["lock_stroke_mm"] == pytest.approx(118.1, abs=0.15) and left["compression_ratio"] is None
    assert left["book"]["compression_ratio"] == 3.61 and left["book"]["lock_stroke_mm"] is None
    assert left["book"]["air_volume_extended_ml"] == pytest.approx(255.6, abs=0.15)
    assert full["fork"]["rider_sag_mm"]["found"] < full["fork"]["rider_sag_mm"]["book"]
    assert full["fork"]["usable_stroke_mm"]["book"] == full["fork"]["usable_stroke_mm"]["advised"]
    assert full["fork"]["limited_by"]["found"] == "hydraulic lock"
    assert full["service"]["left"]["draw_off_ml"] == left["excess_oil_ml"]


def test_what_is_missing_stays_null(bare: Document) -> None:
    assert bare["service"] is None and bare["sag"] is None and bare["chassis"] is None and bare["curves"] == []
    for name in FIGURES:
        assert bare["fork"][name] == dict.fromkeys(SETS)
    for side in ("left", "right"):
        assert all(bare["fork"][side][name] is None for name in VOLUMES | {"excess_oil_ml"})


def test_every_assumption_is_listed_with_value_unit_and_reason(bare: Document, full: Document) -> None:
    assert {"fork.travel_mm", "fork.left.stanchion_diameter_mm", "bike.mass_kg", "rider.mass_kg", "bike.rake_deg",
            "use.braking_g", "use.altitude_m"} <= {entry["path"] for entry in bare["assumed"]}
    for entry in bare["assumed"]:
        assert set(entry) == {"path", "value", "unit", "reason"} and entry["reason"]
        assert isinstance(entry["value"], int | float)
    assert "fork.travel_mm" not in {entry["path"] for entry in full["assumed"]}


def test_a_height_taken_from_the_other_height_is_listed() -> None:
    found = findings({"use": {"altitude_m": 1500}})
    (entry,) = [entry for entry in found["assumed"] if entry["path"] == "use.closed_altitude_m"]
    assert entry["value"] == 1500.0


def test_spreads_stand_beside_the_numbers_and_hold_them(full: Document) -> None:
    for which in SETS:
        for name in ("usable_stroke_mm", "free_sag_mm", "rider_sag_mm"):
            low, high = full["fork"]["spread"][name][which]
            assert low <= full["fork"][name][which] <= high and high - low > 0.5
    for side in ("left", "right"):
        assert full["fork"][side]["spread"]["excess_oil_ml"] > 1
    assert full["service"]["left"]["spread"]["draw_off_ml"] > 1


def test_each_legs_spread_lies_around_its_own_number() -> None:
    found = findings(case({"drained_ml": 600}, {"drained_ml": 480}, service={"pumped": True}), seed=3)
    left, right = found["fork"]["left"], found["fork"]["right"]
    assert left["excess_oil_ml"] - right["excess_oil_ml"] == pytest.approx(120 / 0.95, abs=0.2)
    low, high = found["fork"]["spread"]["usable_stroke_mm"]["found"]
    assert low <= found["fork"]["usable_stroke_mm"]["found"] <= high
    assert left["spread"]["excess_oil_ml"] == pytest.approx(15.4, rel=0.25)
    assert right["spread"]["excess_oil_ml"] == pytest.approx(12.5, rel=0.25)


def test_the_same_seed_gives_the_same_findings_and_another_seed_nearly_so(full: Document) -> None:
    again, other = (findings(case({"oil_level_mm": 42}, bench=BENCH), seed=seed) for seed in (1, 2))
    assert again == full
    assert other != full
    assert other["causes"][0]["name"] == full["causes"][0]["name"]
    assert other["fork"]["usable_stroke_mm"] == full["fork"]["usable_stroke_mm"]


def test_probabilities_are_sorted_and_make_one(full: Document, bare: Document) -> None:
    for found in (full, bare):
        p = [cause["probability"] for cause in found["causes"]]
        assert p == sorted(p, reverse=True) and sum(p) == pytest.approx(1.0, abs=2e-3)
        assert all(0 <= cause["standard_error"] < 0.05 for cause in found["causes"])


def test_curves_rise_and_end_where_the_oil_is_solid(full: Document) -> None:
    by_name = {curve["name"]: curve for curve in full["curves"]}
    assert set(by_name) == SETS
    for curve in by_name.values():
        force = [f for f in curve["force_n"] if f is not None]
        assert len(curve["stroke_mm"]) == len(curve["force_n"]) == len(curve["pressure_bar_left"])
        assert all(b >= a for a, b in zip(force, force[1:], strict=False))
        for total, spring, air in zip(curve["force_n"], curve["spring_n"], curve["air_n"], strict=True):
            assert total is None or total == pytest.approx(spring + air, abs=0.2)
    solid = full["fork"]["left"]["lock_stroke_mm"]
    assert all(f is None for x, f in zip(by_name["found"]["stroke_mm"], by_name["found"]["force_n"], strict=True)
               if x > solid)
    assert by_name["book"]["force_n"][-1] is not None


def in_inches() -> Document:
    """The same case as a rider with inches, pounds and ounces writes it."""
    def inches(mm: float) -> str:
        return f"{mm / 25.4:.10g} in"

    leg = leg_answers() | {
        "stanchion_diameter_mm": inches(41), "bore_diameter_mm": inches(36), "oil_level_book_mm": inches(140),
        "oil_level_mm": inches(42), "oil_volume_book_ml": f"{520 / 29.5735295625:.10g} US fl oz",
        "steel_volume_ml": f"{71.7 / 28.4130625:.10g} imp fl oz", "preload_fixed_mm": inches(15),
        "spring": {"rate_n_per_mm": f"{8.5 / 0.1751268352:.10g} lbf/in"}}
    bench = {"travel": {"used_mm": inches(95), "end_feel": "stops dead"},
             "sag": {"free_sag_mm": inches(25), "rider_sag_mm": inches(38)}}
    document = case(bench=bench, rider={"mass_kg": f"{78 / 0.45359237:.10g} lb"})
    document["bike"] |= {"mass_kg": f"{200 / 0.45359237:.10g} lb", "unsprung_front_kg": f"{16 / 0.45359237:.10g} lb"}
    document["fork"] |= {"travel_mm": inches(140), "left": leg, "right": leg}
    return document


def leaves(found: Any, here: str = "") -> dict[str, Any]:
    if isinstance(found, dict):
        return {k: v for key, part in found.items() for k, v in leaves(part, f"{here}.{key}").items()}
    if isinstance(found, list):
        return {k: v for i, part in enumerate(found) for k, v in leaves(part, f"{here}[{i}]").items()}
    return {here: found}


def test_any_unit_system_gives_the_same_findings(full: Document) -> None:
    metric, imperial = leaves(full), leaves(findings(in_inches()))
    assert metric.keys() == imperial.keys()
    for path, value in metric.items():
        if isinstance(value, float):
            assert imperial[path] == pytest.approx(value, abs=0.11, rel=1e-3), path
        elif not path.startswith(".assumed"):
            assert imperial[path] == value, path


def test_each_sentence_stands_among_the_phrases_with_how_it_was_made(bare: Document) -> None:
    words = bare["verdict"]["words"]
    assert bare["phrases"][words]["template"].format(**bare["phrases"][words]["slots"]) == words
