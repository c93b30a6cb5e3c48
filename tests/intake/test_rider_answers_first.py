"""Eight short questions come first; each lives in its own section, and an answer given here is answered there."""
from __future__ import annotations

import pytest

from analysis.catalogue import QUESTIONS
from analysis.catalogue.first import FIRST_STEPS, WANTED
from analysis.catalogue.safety import SAFETY
from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db
NOTHING_TICKED = {f"{question.path}~listed": "1" for question in SAFETY.questions}


@pytest.fixture
def rider():
    return Rider()


def test_there_are_eight_and_each_names_questions_that_live_elsewhere():
    assert len(FIRST_STEPS) == 8
    paths = [path for step in FIRST_STEPS for path in step.paths]
    assert set(paths) <= QUESTIONS.keys() and len(paths) == len(set(paths))
    assert all(set(step.settle) <= set(step.paths) for step in FIRST_STEPS)
    assert {path for want in WANTED for path in want.paths} <= QUESTIONS.keys()


def test_a_new_case_leads_to_them_and_says_why(rider):
    assert rider.url("section", "first") in rider.read("show-link")
    words = words_of(rider.read("case-page"))
    assert "Next: Eight short questions" in words and "0 of 8 first answers" in words


def test_an_answer_given_here_is_answered_in_its_section(rider):
    rider.save("first", rider__mass_kg="85", bike__kind="road", **{"rider.mass_kg~known": "measured"})
    assert 'value="85"' in rider.read("section", "rider")
    assert rider.document == {"rider": {"mass_kg": {"value": "85", "known": "measured"}}, "bike": {"kind": "road"}}
    assert "2 of 8 first answers" in words_of(rider.read("section", "use"))


def test_one_tick_says_that_none_of_the_signs_is_there(rider):
    rider.save("first", **NOTHING_TICKED, **{"checklist~none": "1"})
    assert set(rider.document["safety"].values()) == {False}
    assert len(rider.document["safety"]) == len(SAFETY.questions)


def test_signs_left_open_are_not_taken_as_absent(rider):
    rider.save("first", **NOTHING_TICKED)
    assert "safety" not in rider.document


def test_a_sign_ticked_here_stops_at_once_and_says_what_to_do(rider):
    answer = rider.client.post(rider.url("section", "first"), NOTHING_TICKED | {
        "safety.oil_on_brake": "yes", "checklist~none": "1"}, follow=True)
    words = words_of(answer.content.decode())
    assert "Stop. Do not ride." in words and "oily pads replaced" in words
    assert rider.document["safety"]["oil_on_brake"] is True and rider.document["safety"]["brake_weak"] is False


def test_a_sign_that_was_ticked_by_mistake_can_be_taken_back(rider):
    rider.save("first", **NOTHING_TICKED, **{"safety.stuck_down": "yes"})
    rider.save("first", **NOTHING_TICKED)
    assert "safety" not in rider.document


def test_not_sure_said_on_the_safety_page_is_kept(rider):
    rider.save("safety", safety__brake_weak="unknown")
    rider.save("first", **NOTHING_TICKED)
    assert rider.document["safety"] == {"brake_weak": {"known": "unknown"}}


def test_once_all_are_answered_something_else_is_next(rider):
    rider.answer_first()
    words = words_of(rider.read("case-page"))
    assert "8 of 8 first answers" in words and "Next: Eight" not in words
    assert "Next: What was serviced" in words


def test_the_last_open_question_of_the_first_is_named_itself(rider):
    rider.answer_first()
    rider.save("rider", **{"rider.mass_kg": ""})
    page = rider.read("case-page")
    assert "Next: How heavy are you" in words_of(page) and "/form/first/#first-rider" in page


def test_work_on_the_day_it_began_puts_the_service_first(rider):
    rider.answer_first(complaint__since="same day as a job")
    assert "It began with the work" in words_of(rider.read("case-page"))


def test_what_helps_lies_in_a_fold_until_it_is_answered(rider):
    page = rider.read("section", "first")
    fold = page.split('<details class="more">')[1].split("</details>")[0]
    assert 'name="service.by"' in fold and 'name="service.done"' not in fold
    rider.save("first", **{"service.by": "friend"})
    assert '<details class="more" open>' in rider.read("section", "first")


def test_nothing_is_called_missing_before_the_first_questions_are_answered(rider):
    words = words_of(rider.read("section", "first"))
    assert "0 of 8 first answers" in words and "missing:" not in words and "tests done" not in words


def test_what_is_missing_is_named_on_every_page_until_it_is_there(rider):
    rider.answer_first()
    assert "missing: rider sag" in words_of(rider.read("section", "bike"))
    rider.measure("sag", bench__sag__rider_sag_mm="35")
    words = words_of(rider.read("section", "bike"))
    assert "missing: travel used" in words and "1 test done" in words
