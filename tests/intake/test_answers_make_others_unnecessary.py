"""What an answer makes unnecessary is not asked; what was typed before is kept and shown in a folded part."""
from __future__ import annotations

import pytest

from analysis.catalogue import BENCH_TESTS, QUESTIONS, SECTIONS
from analysis.catalogue.branches import BRANCHES, LEADS
from analysis.document import parse_case
from intake.branching import leads, why_no_test, why_not_asked
from tests.intake.rider_pages import Rider, words_of

TESTS = {test.name for test in BENCH_TESTS}


def asked(path, document):
    side = "left" if ".left." in path else "right" if ".right." in path else ""
    return why_not_asked(QUESTIONS[path], side, document) is None


def level(**more):
    measured = {"oil_level_mm": {"value": "140", "known": "measured"}}
    return {"fork": {"left": measured, "right": measured}} | more


def test_every_branch_speaks_of_questions_and_tests_that_exist():
    for branch in BRANCHES:
        for place in branch.skips:
            assert place in TESTS or place.format(side="left") in QUESTIONS, place
        for when in (*branch.when, *branch.unless):
            question = QUESTIONS[when.path.format(side="left")]
            if question.choices:
                assert set(when.values) - {"*", "unknown"} <= {choice.value for choice in question.choices}
    places = TESTS | {section.name for section in SECTIONS}
    for lead in LEADS:
        assert lead.place in places
        assert set(lead.when.values) <= {choice.value for choice in QUESTIONS[lead.when.path].choices}


@pytest.mark.parametrize("document,path", [
    ({"fork": {"springing": "air"}}, "fork.left.spring.rate_n_per_mm"),
    ({"fork": {"damper": "sealed cartridge"}}, "fork.right.drained_ml"),
    (level(bench={"oil": {"condition": "compressed spring out"}}), "service.filled"),
    (level(bench={"oil": {"condition": "compressed spring out"}}), "fork.left.oil_volume_ml"),
    ({"service": {"done": ["tyres"]}}, "service.filled"),
    ({"fork": {"left": {"spring": {"rate_n_per_mm": "9 N/mm"}}}}, "fork.left.spring.total_coils"),
    ({"fork": {"left": {"preload_turns_range": "0"}}}, "fork.left.preload_turns_in"),
    ({"use": {"pillion_kg": "0 kg"}}, "bench.rear_sag.two_up_mm"),
    ({"use": {"pillion_kg": 0}}, "bench.rear_sag.two_up_mm"),
    ({"fork": {"layout": "other"}}, "fork.left.stanchion_diameter_mm"),
    ({"fork": {"layout": "other"}}, "fork.damper"),
    ({"fork": {"layout": "other"}}, "fork.oil.label"),
])
def test_what_tells_nothing_more_is_not_asked(document, path):
    assert asked(path, {})
    assert not asked(path, document)


@pytest.mark.parametrize("document,path", [
    (level(bench={"oil": {"condition": "extended spring out"}}), "service.filled"),
    (level(bench={"oil": {"condition": "not sure"}}), "service.filled"),
    ({"fork": {"left": {"oil_level_mm": "140"}}, "bench": {"oil": {"condition": "compressed spring out"}}},
     "service.filled"),
    ({"service": {"done": ["oil", "tyres"]}}, "service.filled"),
    ({"service": {"done": {"known": "unknown"}}}, "service.filled"),
    ({"fork": {"left": {"spring": {"rate_n_per_mm": {"value": "9", "known": "guessed"}}}}},
     "fork.left.spring.total_coils"),
    ({"fork": {"left": {"spring": {"rate_n_per_mm": "9"}}}, "complaint": {"symptoms": ["clanks at the end"]}},
     "fork.left.spring.total_coils"),
    ({"fork": {"left": {"spring": {"rate_n_per_mm": "9"}}}}, "fork.right.spring.total_coils"),
    ({"use": {"pillion_kg": "70"}}, "bench.rear_sag.two_up_mm"),
    ({"use": {"pillion_kg": {"known": "unknown"}}}, "bench.rear_sag.two_up_mm"),
])
def test_what_may_still_tell_something_is_asked(document, path):
    assert asked(path, document)


def test_tests_that_tell_nothing_more_say_why():
    assert "normal" in why_no_test("twins", {"fork": {"damper": "separate function"}})
    assert "no preload adjuster" in why_no_test("preload", {
        "fork": {side: {"preload_turns_range": "0"} for side in ("left", "right")}})
    assert why_no_test("preload", {"fork": {"left": {"preload_turns_range": "0"}}}) == ""
    assert why_no_test("sag", {}) == ""


def test_a_fork_that_frees_up_with_warmth_is_asked_for_its_oil_first():
    assert [lead.place for lead in leads({"bench": {"warmth": {"change": "freer"}}})] == ["fork_oil"]
    assert leads({"complaint": {"since": "always"}}) == []


@pytest.mark.django_db
def test_typed_answers_are_kept_shown_folded_and_stay_when_the_page_is_saved_again():
    rider = Rider()
    rider.save("springs", **{"fork__left__spring__rate_n_per_mm": "8.8", "fork__left__spring__free_length_mm": "300"})
    rider.save("fork", fork__springing="air")
    page = rider.read("section", "springs")
    asked_part, _, folded = page.partition("Not needed any more: 2 answers")
    assert 'value="8.8"' not in asked_part and 'value="8.8"' in folded
    assert "Air carries the load" in words_of(folded)
    rider.save("springs", **{"fork__left__top_out": "1"})
    assert rider.document["fork"]["left"]["spring"] == {"rate_n_per_mm": "8.8", "free_length_mm": "300"}
    assert "Not needed any more" in words_of(rider.read("check"))
    rider.save("fork", fork__springing="coil")
    assert "Not needed any more" not in rider.read("section", "springs")


@pytest.mark.django_db
def test_a_faulty_answer_that_is_not_asked_any_more_can_still_be_reached_and_put_right():
    rider = Rider()
    rider.complain()
    rider.save("springs", fork__left__spring__rate_n_per_mm="stiff")
    rider.save("fork", fork__springing="air")
    assert f'{rider.url("section", "springs")}#fork-left-spring-rate_n_per_mm' in rider.read("check")
    assert '<details class="not-needed" open>' in rider.read("section", "springs")
    rider.save("springs", fork__left__spring__rate_n_per_mm="")
    parse_case(rider.document)
