"""A level or papers that are only remembered or guessed name no cause; they are asked for, and a test is offered."""
from __future__ import annotations

import pytest

from analysis.catalogue import BENCH_TESTS
from analysis.document import parse_case
from analysis.next_test import is_done
from tests.reference_fork import Document, case, findings


def told(value: float, known: str) -> dict[str, object]:
    return {"value": value, "known": known}


LEVELS = {known: case({"oil_level_mm": told(55, known)}) for known in ("remembered", "guessed")}
PAPERS = case({"oil_level_mm": told(100, "measured"), "oil_level_book_mm": told(140, "guessed"),
               "oil_volume_book_ml": None})


@pytest.mark.parametrize("document", [*LEVELS.values(), PAPERS], ids=["remembered", "guessed", "papers"])
def test_no_cause_is_named_on_it_and_something_safe_is_offered(document: Document) -> None:
    found = findings(document)
    assert found["verdict"]["kind"] == "cannot tell yet" and found["advice"] == []
    assert found["next_test"] is not None and found["next_test"]["name"]


def test_the_same_level_measured_names_it() -> None:
    assert findings(case({"oil_level_mm": told(55, "measured")}))["verdict"]["kind"] == "cause"


def test_papers_that_are_only_guessed_are_asked_for() -> None:
    wanted = {row["path"]: row["why"] for row in findings(PAPERS)["missing"]}
    assert "only a guess" in wanted["fork.left.oil_level_book_mm"]
    assert "fork.left.oil_level_mm" not in wanted


@pytest.mark.parametrize(("known", "done"), [("guessed", False), ("remembered", False), ("measured", True)])
def test_only_a_level_that_was_read_saves_the_oil_test(known: str, done: bool) -> None:
    oil = next(test for test in BENCH_TESTS if test.name == "oil")
    assert is_done(parse_case(case({"oil_level_mm": told(55, known)})), oil) is done
