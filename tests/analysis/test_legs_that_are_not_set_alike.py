"""Preload turns and air pressure that differ between two legs with the same work are named, to the tuner's eyes."""
from __future__ import annotations

import pytest

from analysis.damping_part import adjuster_findings
from analysis.document import parse_case


def unlike(left: dict, right: dict, **fork: object) -> list[str]:
    case = parse_case({"schema": 1, "fork": {"damper": "damper rod", **fork, "left": left, "right": right}})
    return [found.words for found in adjuster_findings(case) if found.kind == "sides differ"]


def turns(number: object) -> dict:
    return {"preload_turns_in": number}


def bar(number: object) -> dict:
    return {"gauge_pressure_bar": {"value": number, "known": "measured"}}


def test_preload_that_differs_is_named() -> None:
    assert unlike(turns(1), turns(7)) == ["The preload is turned in 1 turns left and 7 right."]
    assert unlike(turns(4), turns(4.5)) == []


def test_a_guess_has_to_differ_by_more() -> None:
    assert unlike(turns(4), turns({"value": 5, "known": "guessed"})) == []


def test_pressure_that_differs_is_named_in_bar() -> None:
    assert unlike(bar(0.9), bar(0.2)) == ["The left leg holds 0.9 bar and the right one 0.2."]
    assert unlike(bar(0.5), bar(0.5)) == []
    assert unlike(bar(0.9), bar(0)) == ["The left leg holds 0.9 bar and the right one 0."]


@pytest.mark.parametrize("legs", [(turns(1), turns(7)), (bar(0.9), bar(0.2))])
def test_legs_with_each_their_own_work_need_not_agree(legs: tuple[dict, dict]) -> None:
    assert unlike(*legs, damper="separate function") == []


def test_an_air_sprung_fork_may_have_its_spring_in_one_leg() -> None:
    assert unlike(bar(10), bar(0), springing="air") == []
    assert len(unlike(bar(10), bar(8), springing="air")) == 1
