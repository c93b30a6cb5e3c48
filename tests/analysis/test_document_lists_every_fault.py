"""A bad document gets all its faults at once, each with its path and a way on."""
from __future__ import annotations

import copy
from typing import Any

import pytest

from analysis.document import CaseFaults, Fault, faults_of, parse_case
from analysis.notes import shown

FAULTY: dict[str, Any] = {
    "schema": 7,
    "bike": {"mass_kg": "heavy", "rake_deg": {"value": 24, "known": "sure"}, "wheelbase_mm": -3, "kind": "roads"},
    "rider": {"mass_kg": {"known": "measured"}, "front_share": 49},
    "complaint": {"symptoms": ["dives", "swims", "flies"], "words": 5},
    "fork": {"travel_mm": "75 kg", "left": {"spring": 9.3, "oil_level_mm": {"value": 110, "unit": "mm"}}},
    "safety": {"oil_on_brake": "maybe", "stuck_down": 1},
    "engine": {},
}


def paths(faults: tuple[Fault, ...]) -> list[str]:
    return sorted(fault.path for fault in faults)


def test_every_fault_of_a_document_is_listed_with_its_path() -> None:
    with pytest.raises(CaseFaults) as caught:
        parse_case(FAULTY)
    assert paths(caught.value.faults) == sorted([
        "schema", "bike.mass_kg", "bike.rake_deg", "bike.wheelbase_mm", "bike.kind", "rider.mass_kg",
        "rider.front_share",
        "complaint.symptoms", "complaint.symptoms", "complaint.words", "fork.travel_mm", "fork.left.spring",
        "fork.left.oil_level_mm", "safety.oil_on_brake", "safety.stuck_down", "engine",
    ])


def test_each_fault_says_what_to_do_in_a_sentence() -> None:
    for fault in faults_of(FAULTY):
        assert fault.problem and not fault.problem.endswith("."), fault
        assert fault.mend.endswith((".", "?")), fault
        assert "Traceback" not in str(fault) and "object at" not in str(fault)


def test_fifty_faults_are_fifty_lines() -> None:
    document = {"bike": {f"oddity_{n}": n for n in range(50)}}
    with pytest.raises(CaseFaults) as caught:
        parse_case(document)
    assert len(caught.value.faults) == 50
    assert len(str(caught.value).splitlines()) == 50


def test_a_document_is_not_changed_by_reading_it() -> None:
    before = copy.deepcopy(FAULTY)
    faults_of(FAULTY)
    assert before == FAULTY


@pytest.mark.parametrize("document", [None, 5, "case", [], [{}], True])
def test_what_is_no_group_of_answers_is_one_fault(document: object) -> None:
    (fault,) = faults_of(document)
    assert fault.path == "" and "not a group" in fault.problem


def test_an_empty_document_is_a_case_without_answers() -> None:
    case = parse_case({})
    assert not case.answers and not case.unknown and not case.doubts


@pytest.mark.parametrize("number", [0, 2, "1", True, None])
def test_another_form_of_document_is_refused(number: object) -> None:
    assert paths(faults_of({"schema": number})) == ["schema"]


@pytest.mark.parametrize("text", ["a\0b", "\ud800", "x" * 20_001])
def test_text_that_cannot_be_kept_is_refused(text: str) -> None:
    assert paths(faults_of({"complaint": {"words": text}, "title": text})) == ["complaint.words", "title"]


def test_any_language_is_kept_as_typed() -> None:
    words = "الشوكة قاسية 🏍 très dur\n„hart“"
    assert parse_case({"complaint": {"words": words}}).value("complaint.words") == words


def test_an_endless_list_of_answers_is_one_fault() -> None:
    assert paths(faults_of({"complaint": {"symptoms": ["dives"] * 100_000}})) == ["complaint.symptoms"]


def test_the_range_is_named_where_a_value_is_impossible() -> None:
    (fault,) = faults_of({"fork": {"travel_mm": 2000}})
    assert "2000 mm" in fault.problem and "15 to 400 mm" in fault.problem


def test_an_answer_of_the_wrong_shape_says_how_to_write_it() -> None:
    (fault,) = faults_of({"complaint": {"symptoms": 5}})
    assert "not a list" in fault.problem and fault.path == "complaint.symptoms"
    (fault,) = faults_of({"complaint": {"symptoms": ["stops hard"] * 400}})
    assert "400 answers" in fault.problem


def test_true_and_false_are_yes_and_no_where_a_question_offers_them() -> None:
    for raw, value in ((True, "yes"), (False, "no")):
        assert parse_case({"bench": {"push": {"came_back": raw}}}).value("bench.push.came_back") == value


def test_what_was_given_in_the_place_of_an_answer_is_pictured_by_its_kind() -> None:
    pictures = {"a list": [1], "a group": {}, "true": True, "1.5": 1.5, '"so"': "so"}
    assert {words: str(shown(given)) for words, given in pictures.items()} == {words: words for words in pictures}
