"""From a case's answers to what is said of the rear and of how the bike stands."""
from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from analysis.document import parse_case
from analysis.rear_part import attitude_part, shock_part

CASE: dict[str, Any] = {
    "bike": {"kind": "road", "mass_kg": 210, "rear_load_kg": 108, "unsprung_rear_kg": 18, "rake_deg": 24,
             "fork_offset_mm": 30, "wheel_radius_front_mm": 300, "wheelbase_mm": 1400, "gravity_height_mm": 650},
    "rider": {"mass_kg": 85, "front_share": 0.42},
    "shock": {"layout": "linkage", "wheel_travel_mm": 130, "stroke_mm": 65,
              "spring": {"rate_n_per_mm": 95, "free_length_mm": 160, "installed_length_mm": 150,
                         "wire_diameter_mm": 11, "total_coils": 7},
              "preload_turns_in": 4, "preload_turns_range": 12, "preload_pitch_mm_per_turn": 1.5,
              "rod_diameter_mm": 14, "gas_pressure_bar": 0},
}


def part(**changes: Any) -> dict[str, Any]:
    document = copy.deepcopy(CASE)
    for path, value in changes.items():
        node, keys = document, path.split("__")
        for key in keys[:-1]:
            node = node.setdefault(key, {})
        if value is ...:
            node.pop(keys[-1], None)
        else:
            node[keys[-1]] = value
    found = shock_part(parse_case(document))
    assert found is not None
    json.dumps(found, allow_nan=False)
    return found


# Arithmetic: on the rear 108 + 85 × 0.58 − 18 = 139.3 kg = 1366.1 N; one ratio 0.5, 95 N/mm: 23.75 N/mm at the
# wheel; 10 mm of preload hold 475 N; (1366.1 − 475)/23.75 = 37.5 mm; bike alone 882.6 N: 17.2 mm.
def test_sags_of_a_plain_rear_by_hand():
    found = part()
    assert found["sag"]["rider"]["predicted_mm"] == pytest.approx(37.5, abs=0.06)
    assert found["sag"]["free"]["predicted_mm"] == pytest.approx(17.2, abs=0.06)
    assert found["wheel_rate_n_per_mm"]["rider_sag"] == pytest.approx(23.75)
    assert found["motion_ratio"]["wheel_over_shock"] == 2.0
    assert found["preload"]["now_mm"] == 10.0 and found["preload"]["range_mm"] == [4.0, 22.0]
    assert found["bind_margin_mm"] == pytest.approx(160 - 77 - 10 - 65) and found["ended_by"] == "full travel"
    assert found["missing"] == []


# Arithmetic: passenger 65 kg and 20 kg of luggage add 77.25 kg = 757.6 N: 31.9 mm of sag, 15.95 mm of preload.
def test_a_passenger_can_be_more_than_the_collar_holds():
    found = part(use__pillion_kg=65, use__luggage_kg=20)
    alone, loaded = found["preload"]["for"]["rider"], found["preload"]["for"]["loaded"]
    assert loaded["needed_mm"] - alone["needed_mm"] == pytest.approx(15.95, abs=0.11)
    assert alone["can_be_set"] and not loaded["can_be_set"]
    assert loaded["words"].startswith("Cannot be done by preload")
    assert any("passenger" in entry["reason"] for entry in found["assumed"])


def test_springs_on_the_shelf_are_shown_with_what_each_would_give():
    springs = part()["springs"]
    assert [s["rate_n_per_mm"] for s in springs] == sorted(s["rate_n_per_mm"] for s in springs) and len(springs) == 7
    assert sum(s["best"] for s in springs) == 1
    assert all(s["words"] for s in springs)


def test_a_table_outranks_the_mean_ratio_and_an_arm_gives_its_own():
    table = part(shock__linkage_table_mm="0:0 40:19 80:39,5 130:67")
    assert table["motion_ratio"]["start"] < table["motion_ratio"]["end"]
    assert not any(e["path"] == "shock.linkage_table_mm" for e in table["assumed"])
    arm = part(shock__layout="direct", shock__arm={"length_mm": 550, "along_mm": 300, "above_mm": 0,
                                                   "top_forward_mm": -200, "top_up_mm": 300, "droop_deg": 12})
    assert arm["motion_ratio"]["start"] == pytest.approx(0.5, abs=0.02)
    assert arm["wheel_rate_n_per_mm"]["start"] != part()["wheel_rate_n_per_mm"]["start"]


def test_two_shocks_are_both_counted():
    one, two = part(), part(shock__layout="twin")
    assert two["wheel_rate_n_per_mm"]["end"] == pytest.approx(2 * one["wheel_rate_n_per_mm"]["end"])


def test_a_measured_sag_stands_in_for_a_preload_that_is_not_known_and_says_so():
    found = part(shock__spring__installed_length_mm=..., shock__rider_sag_mm=37.5)
    assert found["preload"]["now_mm"] == pytest.approx(10.0, abs=0.1)
    assert any(e["path"] == "shock.preload_mm" and "sag" in e["reason"] for e in found["assumed"])


def test_two_readings_give_sag_and_friction():
    readings = {"extended_mm": 600, "rider_from_below_mm": 558, "rider_from_above_mm": 566}
    found = part(bench__rear_sag=readings)
    assert found["sag"]["rider"]["measured_mm"] == 38.0
    assert found["friction_n"] == pytest.approx(4 * 23.75, abs=0.1)  # half the gap times the wheel rate


def test_what_is_missing_is_listed_and_nothing_is_made_up():
    found = part(shock__spring=..., bike__mass_kg=..., bike__rear_load_kg=...)
    assert {m["path"] for m in found["missing"]} == {"shock.spring.rate_n_per_mm", "bike.rear_load_kg"}
    assert found["wheel_rate_n_per_mm"] is None and found["sag"]["rider"]["predicted_mm"] is None
    assert shock_part(parse_case({"bike": {"mass_kg": 210}})) is None


def test_a_linkage_that_cannot_be_is_a_trouble_in_words():
    found = part(shock__stroke_mm=240, shock__wheel_travel_mm=120)
    assert found["motion_ratio"] is None and "further than the wheel" in found["troubles"][0]


def test_the_bike_stands_by_both_sags():
    case = parse_case(CASE)
    found = attitude_part(case, {"found": 30.0, "advised": 38.0}, {"found": 0.0, "advised": 35.0})
    assert found is not None
    json.dumps(found, allow_nan=False)
    assert found["trail_mm"] == 100.7 and found["found"]["trail_mm"] == 94.0  # steering geometry by arithmetic
    assert found["found"]["rake_deg"] == 22.87
    taken = found["changes"][0]
    assert taken["trail_mm"] == pytest.approx(found["advised"]["trail_mm"] - found["found"]["trail_mm"], abs=0.11)
    assert found["braking"]["limited_by"] == "front slides" and found["braking"]["limit_g"] < 1.0
    assert any("fully extended" in entry["reason"] for entry in found["assumed"])
    lower, plain = found["changes"][2], attitude_part(case, {"found": 35.0}, {"found": 0.0})
    assert "Fork 5 mm lower" in lower["change"] and plain is not None
    assert lower["trail_mm"] == pytest.approx(plain["found"]["trail_mm"] - found["found"]["trail_mm"], abs=0.11)


def test_tubes_pushed_up_count_and_missing_geometry_says_nothing():
    heights = {"left_tube_mm": 12, "right_tube_mm": 12, "tube_book_mm": 4}
    low = attitude_part(parse_case({**CASE, "bench": {"heights": heights}}), {"found": 30.0}, {"found": 0.0})
    plain = attitude_part(parse_case(CASE), {"found": 38.0}, {"found": 0.0})
    assert low is not None and plain is not None
    assert low["tubes_raised_mm"] == 8.0 and low["found"] == plain["found"]
    assert attitude_part(parse_case({"bike": {"rake_deg": 24}}), {"found": 30.0}, {}) is None


def test_without_a_rider_only_the_bikes_own_sag_is_worked_out():
    found = part(rider=...)
    assert found["sag"]["rider"]["predicted_mm"] is None and found["springs"] == []
    assert found["sag"]["free"]["predicted_mm"] == pytest.approx(17.2, abs=0.06)
    assert [m["path"] for m in found["missing"]] == ["rider.mass_kg"]


def test_the_sag_of_the_bike_alone_tells_the_preload_too():
    found = part(shock__spring__installed_length_mm=..., shock__free_sag_mm=17.2)
    assert found["preload"]["now_mm"] == pytest.approx(10.0, abs=0.1)
    assert any("measured free sag" in entry["reason"] for entry in found["assumed"])


def test_a_preload_nobody_knows_is_missing_and_not_made_up():
    found = part(shock__spring__installed_length_mm=...)
    assert [m["path"] for m in found["missing"]] == ["shock.preload_mm"]
    assert found["preload"] is None and found["springs"] == [] and found["sag"]["rider"]["predicted_mm"] is None
    assert found["gas_force_n"] == 0.0


def test_a_preload_that_cannot_be_turned_stays_where_it_is():
    found = part(shock__preload_kind="fixed")
    assert found["preload"]["range_mm"] == [10.0, 10.0]


# Arithmetic: 210 kg less 102 kg weighed at the front, or 51.4 % of 210 kg, are the 108 kg of the case; 49 % on the
# front is what is usual: common practice, no source.
@pytest.mark.parametrize("changes, on_rear", [({"bike__front_load_kg": 102}, 108.0),
                                              ({"bike__front_share": "51.4 %"}, 102.06), ({}, 107.1)])
def test_the_load_on_the_rear_is_what_the_front_does_not_carry(changes, on_rear):
    found = part(bike__rear_load_kg=..., **changes)
    assert any(entry["path"] == "bike.front_share" for entry in found["assumed"]) == (not changes)
    free = ((on_rear - 18) * 9.80665 - 475) / 23.75  # 23.75 N/mm at the wheel, 475 N held by the preload
    assert found["sag"]["free"]["predicted_mm"] == pytest.approx(free, abs=0.06)


# Arithmetic: 950 N of preload through 0.5 are 475 N; every 130/60 mm of travel adds 23.75 N/mm.
def test_the_curve_of_a_plain_rear_is_a_straight_line():
    curve = part()["curve"]
    assert curve["travel_mm"][:3] == [0.0, 2.17, 4.33] and curve["travel_mm"][-1] == 130.0
    assert curve["force_n"][:3] == [475.0, 526.5, 577.9] and set(curve["rate_n_per_mm"]) == {23.75}


@pytest.mark.parametrize("readings, sag", [
    ({"extended_mm": 600, "rider_from_below_mm": 558}, 42.0),
    ({"extended_mm": 600, "rider_from_above_mm": 566}, 34.0), ({"rider_from_above_mm": 566}, None)])
def test_one_reading_is_a_sag_too(readings, sag):
    found = part(bench__rear_sag=readings)
    assert found["sag"]["rider"]["measured_mm"] == sag and found["friction_n"] is None


def test_how_the_bike_stands_says_what_it_leaves_open():
    told = copy.deepcopy(CASE)
    told["use"] = {"braking_g": 0.8}
    found = attitude_part(parse_case(told), {"found": 30.0, "book": None, "advised": 38.0}, {"found": None})
    assert found is not None and found["book"] is None
    assert [e["reason"] for e in found["assumed"] if e["path"] == "shock.rider_sag_mm"] == [
        "The rear's sag (found) is not known: it is left where it was.",
        "The rear's sag (advised) is not known: it is left where it was."]
    assert found["braking"]["at_g"] == 0.8 and not any(e["path"] == "use.braking_g" for e in found["assumed"])
    # Arithmetic: 295 kg × 0.8 × height over wheelbase.
    assert found["braking"]["moved_kg"] == pytest.approx(
        295 * 0.8 * found["braking"]["height_mm"] / found["found"]["wheelbase_mm"], abs=0.2)
    del told["bike"]["gravity_height_mm"]
    assert attitude_part(parse_case(told), {"found": 30.0}, {})["braking"] is None


# Arithmetic: (102 + 85 × 0.42)/295 weighed; (210 × 0.49 + 85 × 0.42)/295 by shares, usual ones where not given.
@pytest.mark.parametrize("changes, share", [({"rear_load_kg": 108}, 0.467), ({"front_load_kg": 110}, 0.494),
                                            ({"front_share": 0.45}, 0.441)])
def test_the_share_on_the_front_wheel(changes, share):
    bike = {name: value for name, value in CASE["bike"].items() if name != "rear_load_kg"} | changes
    found = attitude_part(parse_case({**CASE, "bike": bike}), {"found": 30.0}, {"found": 35.0})
    assert found["braking"]["front_share"] == pytest.approx(share, abs=6e-4)
    assert not any("usual share" in e["reason"].lower() for e in found["assumed"])


def test_sag_with_a_passenger_and_with_luggage_is_read_once():
    found = part(bench__rear_sag={"extended_mm": 600, "two_up_mm": 548, "loaded_mm": 540})
    assert found["sag"]["two_up"]["measured_mm"] == 52.0 and found["sag"]["loaded"]["measured_mm"] == 60.0


def test_a_share_nobody_gave_is_a_usual_one_and_listed():
    told = copy.deepcopy(CASE)
    del told["bike"]["rear_load_kg"], told["rider"]["front_share"]
    found = attitude_part(parse_case(told), {"found": 30.0}, {"found": 35.0})
    assert {e["path"] for e in found["assumed"]} >= {"bike.front_share", "rider.front_share"}
    assert 0.35 < found["braking"]["front_share"] < 0.5


# Two ways: the sag that a spring in the list is said to give is the one found with that spring in place.
def test_a_spring_on_the_shelf_gives_the_sag_that_it_has_once_it_is_in():
    offer = next(s for s in part()["springs"] if s["fits"])
    fitted = part(shock__spring__rate_n_per_mm=offer["rate_n_per_mm"],
                  shock__spring__installed_length_mm=160 - offer["preload_mm"])
    assert offer["rider_sag_mm"] == pytest.approx(fitted["sag"]["rider"]["predicted_mm"], abs=0.3)


# Arithmetic: s = 0.44 z + 0.0004 z² in mm is 19.84 mm at 40 mm of travel; ds/dz is 0.44 hanging and 0.544 at 130 mm.
# Two ways: the formula, and a table of what it gives.
def test_a_linkage_given_as_a_formula_is_the_one_that_its_table_shows():
    formula = part(shock__curve={"a": 0.44, "b_per_mm": 0.0004})
    assert formula["motion_ratio"]["start"] == pytest.approx(0.44, abs=1e-3)
    assert formula["motion_ratio"]["end"] == pytest.approx(0.544, abs=1e-3)
    pairs = " ".join(f"{z}:{0.44 * z + 0.0004 * z * z:.3f}" for z in range(0, 131, 5))
    table = part(shock__linkage_table_mm=pairs)
    for which in ("free", "rider"):
        assert formula["sag"][which]["predicted_mm"] == pytest.approx(table["sag"][which]["predicted_mm"], abs=0.15)
    assert not any(e["path"] == "shock.linkage_table_mm" for e in formula["assumed"])


def test_a_formula_by_which_the_shock_would_come_out_again_is_refused_in_words():
    troubles = part(shock__curve={"a": 0.44, "b_per_mm": -0.01})["troubles"]
    assert troubles and troubles[0].startswith("Shock and wheel travel:")
