"""Up to three tests to pick from, what each answer would mean, and what every answer given did to every cause."""
from __future__ import annotations

import pytest

from tests.reference_fork import Document, case, findings


@pytest.fixture(scope="module")
def found() -> Document:
    return findings(case(bench={"sag": {"free_sag_mm": 25, "rider_sag_mm": 38}}))


def test_the_best_three_come_best_first_and_the_first_is_the_next_test(found: Document) -> None:
    tests = found["tests"]
    worth = [one["gain_bits"] / one["minutes"] for one in tests]
    assert len(tests) == 3 and tests[0] == found["next_test"]
    assert worth == sorted(worth, reverse=True) and len({one["name"] for one in tests}) == 3


def test_the_answers_of_a_question_are_all_there_and_name_a_cause(found: Document) -> None:
    titles = {one["title"] for one in found["causes"]}
    for test in found["tests"]:
        assert test["answers"] and {one["cause"] for one in test["answers"]} <= titles
        by_question: dict[str, float] = {}
        for one in test["answers"]:
            by_question[one["title"]] = by_question.get(one["title"], 0) + one["chance"]
            assert 0 < one["probability"] <= 1 and (bool(one["answer"]) != bool(one["unit"]))
        assert all(0.85 < chance < 1.01 for chance in by_question.values())


def test_a_safety_sign_leaves_nothing_to_pick() -> None:
    assert findings(case(safety={"crack_or_crease": True}))["tests"] == []


def test_every_cause_says_in_bits_what_moved_it_as_its_words_do(found: Document) -> None:
    lead = found["causes"][0]
    bits = [abs(one["moved_bits"]) for one in lead["bits"]]
    assert bits == sorted(bits, reverse=True) and len(bits) >= len(lead["moved_by"]) > 0
    assert all("bits" in cause for cause in found["causes"])
