"""While a case is still being filled in, the tests worth doing come first, with what the best of them would settle."""
from __future__ import annotations

import numpy as np
import pytest

from analysis import worth as quick_look
from analysis.catalogue import BENCH_TESTS
from analysis.causes import CAUSES
from analysis.document import parse_case
from analysis.worth import REASONED, Worth
from tests.reference_fork import Document, case

MINUTES = {test.name: test.minutes for test in BENCH_TESTS}
BARE: Document = {"bike": {"mass_kg": 200}, "fork": {"travel_mm": 120},
                  "rider": {"mass_kg": 80, "can": ["helper", "tape", "stand", "caps", "ride"]}}


def worth(document: Document, *barred: str) -> tuple[Worth, ...]:
    return quick_look.tests_worth_doing(parse_case(document), barred, np.random.default_rng(1))


def test_most_is_learned_a_minute_first_and_only_the_best_have_reasons() -> None:
    found = worth(BARE)
    a_minute = [one.gain_bits / MINUTES[one.name] for one in found]
    assert len(found) > REASONED and a_minute == sorted(a_minute, reverse=True) and min(a_minute) > 0
    assert all("tells these two apart: " in one.reason for one in found[:REASONED])
    assert not any(one.reason for one in found[REASONED:])


def test_what_is_barred_done_or_needs_a_tool_is_not_among_them() -> None:
    assert "oil" not in {one.name for one in worth(BARE, "oil")}
    assert "push" not in {one.name for one in worth({**BARE, "bench": {"push": {"end_feel": "sticks",
                                                                              "came_back": "part way"}}})}


def test_where_one_story_is_left_there_is_nothing_to_tell_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("analysis.worth.LEADING", 1)
    assert {one.reason for one in worth(case({"oil_level_mm": 140}))} == {""}


def test_two_stories_that_are_put_right_alike_need_not_be_told_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("analysis.worth.LEADING", 12)
    alike = {cause.title: cause.remedy for cause in CAUSES}
    for one in worth(BARE)[:REASONED]:
        first, second = one.reason.partition("apart: ")[2].rstrip(".").split("; ")
        assert alike[first] != alike[second]
