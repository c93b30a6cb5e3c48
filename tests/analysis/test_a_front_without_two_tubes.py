"""Links, a girder or a single arm: accepted, asked nothing about tubes, and judged by hand."""
from __future__ import annotations

import pytest

from analysis.catalogue import BENCH_TESTS
from analysis.catalogue.branches import OF_TWO_TUBES
from tests.reference_fork import case, findings

LEFT = {"look", "rebound", "top_out", "warmth", "rolling", "rear_sag", "rear_bounce", "rear_play", "heights"}


def of_links() -> dict:
    return case(fork={"layout": "other"}, bench={"rebound": {"return_s": 0.4, "swings": "one small"}})


def test_it_gets_no_verdict_of_its_own() -> None:
    verdict = findings(of_links())["verdict"]
    assert verdict["kind"] == "cannot tell yet" and verdict["words"] == "We cannot tell from our sums yet."
    assert verdict["why_open"] == ["This front has no pair of tubes, which our sums of a fork are made for: our tuner "
                                   "judges this by hand."]
    assert findings(of_links())["advice"] == []


def test_only_tests_that_need_no_tubes_are_offered() -> None:
    assert {test.name for test in BENCH_TESTS} - set(OF_TWO_TUBES) == LEFT
    offered = {test["name"] for test in findings(of_links())["tests"]}
    assert offered and offered <= LEFT


@pytest.mark.parametrize("layout", ["right way up", "upside down"])
def test_a_fork_of_two_tubes_is_asked_for_all(layout: str) -> None:
    offered = {test["name"] for test in findings(case(fork={"layout": layout}))["tests"]}
    assert offered & set(OF_TWO_TUBES)
