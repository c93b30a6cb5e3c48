"""A sign of danger stops the ride, however it is known and whatever the numbers say."""
from __future__ import annotations

from typing import Any

import pytest

from analysis.catalogue import QUESTIONS
from analysis.document import parse_case
from analysis.gates import Gate, gentle_signs, safety_gates
from analysis.parts import preload_part
from analysis.preload import PreloadCheck

SIGNS = [path for path in QUESTIONS if path.startswith("safety.")]
ENDS = {
    "oil_on_brake": "both", "crack_or_crease": "both", "bent_or_off_centre": "front", "cap_damaged": "front",
    "clamping_doubtful": "front", "head_bearing_play": "front", "wheel_bearing_play": "both", "stuck_down": "front",
    "tyre_touches": "both", "brake_weak": "both", "loose_parts_knock": "front", "shock_damaged": "rear",
    "over_rated_load": "both", "pressure_unknown": "both",
}


def gates(document: dict[str, Any]) -> tuple[Gate, ...]:
    return safety_gates(parse_case(document))


@pytest.mark.parametrize("path", SIGNS)
@pytest.mark.parametrize("raw", [True, "yes", {"value": True, "known": "guessed"}])
def test_every_sign_on_the_safety_page_stops_its_end(path: str, raw: object) -> None:
    name = path.removeprefix("safety.")
    (gate,) = gates({"safety": {name: raw}})
    assert gate.end == ENDS[name]
    assert "not ride" in gate.do and gate.reason.endswith(".") and gate.do.endswith(".")


@pytest.mark.parametrize("raw", [False, "no", None, {"known": "unknown"}])
def test_a_no_or_an_unknown_stops_nothing(raw: object) -> None:
    assert gates({"safety": {path.removeprefix("safety."): raw for path in SIGNS}}) == ()


def test_all_signs_at_once_are_all_named_in_the_order_of_the_page() -> None:
    found = gates({"safety": {path.removeprefix("safety."): True for path in SIGNS}})
    assert [gate.end for gate in found] == [ENDS[path.removeprefix("safety.")] for path in SIGNS]


def test_a_fork_that_stayed_down_in_the_push_test_stops_the_front() -> None:
    (gate,) = gates({"bench": {"push": {"came_back": "no"}}})
    assert (gate.name, gate.end) == ("fork stuck down", "front")


@pytest.mark.parametrize("answer", ["yes", "slowly", "part way", "cannot tell"])
def test_a_fork_that_came_back_does_not_stop(answer: str) -> None:
    assert gates({"bench": {"push": {"came_back": answer}}}) == ()


def test_the_same_danger_said_twice_is_one_gate() -> None:
    found = gates({"safety": {"stuck_down": True}, "bench": {"push": {"came_back": "no"}}})
    assert [gate.name for gate in found] == ["fork stuck down"]


def test_twisted_tubes_after_a_knock_stop_the_front() -> None:
    twisted = {"bench": {"look": {"tubes_parallel": "twisted"}}}
    assert [gate.end for gate in gates({**twisted, "complaint": {"since": "after a knock"}})] == ["front"]
    crept_in = {**twisted, "complaint": {"since": "slowly"}}
    assert gates(crept_in) == () and gentle_signs(parse_case(crept_in))


@pytest.mark.parametrize(("oil", "gentle"), [("none", 0), ("film", 0), ("ring", 1), ("drops", 1)])
def test_a_leaking_seal_asks_for_gentle_riding_and_does_not_stop(oil: str, gentle: int) -> None:
    case = parse_case({"bench": {"look": {"oil_on_tube": oil}}})
    assert safety_gates(case) == ()
    assert len(gentle_signs(case)) == gentle


def test_oil_on_the_brake_stops_with_a_leaking_seal_or_without() -> None:
    found = gates({"safety": {"oil_on_brake": True}, "bench": {"look": {"oil_on_tube": "none"}}})
    assert [gate.name for gate in found] == ["oil on the brake"]


@pytest.mark.parametrize("seen", [{"result": "over"}, {"left_tube_mm": 0.9, "limit_mm": 0.2},
                                  {"right_tube_mm": 0.9, "limit_mm": 0.2, "result": "within"}])
def test_a_tube_or_axle_that_runs_out_too_far_is_bent_and_stops(seen: dict[str, Any]) -> None:
    assert [(gate.name, gate.end) for gate in gates({"bench": {"run_out": seen}})] == [("bent or off-centre", "front")]


@pytest.mark.parametrize("seen", [{"result": "within"}, {"left_tube_mm": 0.1, "limit_mm": 0.2}, {"left_tube_mm": 0.9},
                                  {"axle_mm": 0.9, "limit_mm": 0.2}])
def test_a_run_out_within_its_limit_or_without_one_stops_nothing(seen: dict[str, Any]) -> None:
    assert gates({"bench": {"run_out": seen}}) == ()


@pytest.mark.parametrize(("seen", "gentle"), [
    ({"twins": {"result": "changes as it turns"}}, 1), ({"twins": {"result": "one drags"}}, 0),
    ({"rear_play": {"side_mm": 5}}, 1), ({"rear_play": {"side_mm": 1}}, 0)])
def test_a_tube_that_may_be_bent_and_a_rear_wheel_with_play_ask_for_gentle_riding(seen: dict[str, Any], gentle: int,
                                                                                ) -> None:
    case = parse_case({"bench": seen})
    assert safety_gates(case) == () and len(gentle_signs(case)) == gentle


def test_a_stopped_front_is_told_no_change_of_preload_in_turns_or_millimetres() -> None:
    check = PreloadCheck("Rider sag is 25 mm.", 0.004, -0.005, -4.0, False)
    told, stopped = (preload_part(check, front_stopped) for front_stopped in (False, True))
    assert (told["turns_to_target"], told["mm_to_target"]) == (-4.0, -5.0)
    assert (stopped["turns_to_target"], stopped["mm_to_target"]) == (None, None)
    assert stopped["words"] == told["words"] and stopped["error_mm"] == 4.0
