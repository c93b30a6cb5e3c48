"""A level or papers that are only remembered or guessed name no cause; they are asked for, and a test is offered."""
from __future__ import annotations

import pytest

from analysis.catalogue import BENCH_TESTS
from analysis.document import parse_case
from analysis.next_test import is_done
from tests.reference_fork import Document, case, findings


def told(value: object, known: str) -> dict[str, object]:
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


DRY_INTO_DRAINED = {"oil_volume_ml": 520}


@pytest.mark.parametrize(("known", "kind"), [("guessed", "cannot tell yet"), ("remembered", "cannot tell yet"),
                                             ("documented", "cause")])
def test_an_amount_says_no_more_than_how_it_went_in(known: str, kind: str) -> None:
    filled = {"filled": {"value": "drained", "known": known}, "pumped": False}
    found = findings(case(DRY_INTO_DRAINED, service=filled))
    assert found["verdict"]["kind"] == kind
    assert any("how the oil was filled" in why for why in found["verdict"]["why_open"]) == (kind != "cause")


# Arithmetic: pumped 26 ml stay, not pumped 78 ml; where nobody knows, half way, 52 ml.
def test_pumping_that_was_only_guessed_is_as_good_as_not_known() -> None:
    guessed = {"filled": "drained", "pumped": {"value": False, "known": "guessed"}}
    found = findings(case(DRY_INTO_DRAINED, service=guessed))
    assert found["fork"]["left"]["excess_oil_ml"] == pytest.approx(52, abs=0.1)
    assert found["verdict"]["kind"] == "cannot tell yet"


@pytest.mark.parametrize(("known", "kind"), [("guessed", "cannot tell yet"), ("remembered", "cannot tell yet"),
                                             ("measured", "cause")])
def test_a_level_says_no_more_than_how_the_leg_was(known: str, kind: str) -> None:
    how = {"value": "extended spring out", "known": known}
    found = findings(case({"oil_level_mm": told(140, "measured")}, bench={"oil": {"condition": how}}))
    assert found["verdict"]["kind"] == kind
    assert any("how the leg was" in why for why in found["verdict"]["why_open"]) == (kind != "cause")


def test_a_guess_beside_a_level_that_was_read_holds_nothing_up() -> None:
    read = case({"oil_level_mm": told(55, "measured")}, service={"filled": told("dry", "guessed")})
    assert findings(read)["verdict"]["kind"] == "cause"
