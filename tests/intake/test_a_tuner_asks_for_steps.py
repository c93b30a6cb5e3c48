"""A tuner asks for up to three steps, and the rider's page opens with exactly them, in the rider's language."""
from __future__ import annotations

import pytest
from django.core import mail
from django.core.cache import cache
from django.urls import reverse
from django.utils.html import escape

from analysis.catalogue import BENCH_TESTS
from intake import services
from intake.errors import Refused
from intake.lanes import Lane, lane_of
from intake.models import Case
from intake.queue import queue_page
from tests.intake.queued import queued
from tests.intake.rider_pages import Rider

pytestmark = pytest.mark.django_db


@pytest.fixture
def someone(django_capture_on_commit_callbacks):
    """A rider who has handed in and whose case is with the tuner."""
    rider = Rider(email="rider@example.org")
    rider.answer_first()
    order = services.hand_in(round=rider.case.current_round, who="rider")
    services.record_assessment(order=order, summary={}, stop=False)
    return rider


def ask(rider, tuner, **asked):
    services.ask_rider(case=rider.case, user=tuner.user, **asked)
    return rider.read("case-page")


def test_the_riders_page_puts_the_test_first_and_then_only_the_hand_in(someone, tuner):
    page = ask(someone, tuner, tests=["travel"])
    assert f'href="{someone.url("bench-test", "travel")}"' in page and "Your tuner asks for this." in page
    someone.measure("travel", bench__travel__end_feel="stops dead")
    page = someone.read("case-page")
    assert "That is what your tuner asked for." in page and "Your tuner asks for this." not in page


def test_the_page_of_the_test_that_is_asked_for_says_once_what_it_is_for(someone, tuner, monkeypatch):
    monkeypatch.setattr("intake.sheets.tests_worth_doing", lambda *_: ())  # the engine knows no better reason
    cache.clear()
    ask(someone, tuner, tests=["travel"])
    purpose = next(test.purpose for test in BENCH_TESTS if test.name == "travel")
    assert someone.read("bench-test", "travel").count(escape(purpose)) == 1


def test_three_steps_come_one_after_the_other(someone, tuner):
    ask(someone, tuner, tests=["travel", "sag"], question="Which oil is in it?", path="service")
    assert someone.case.question.count("\n\n") == 2 and someone.case.question_path == "travel"
    someone.measure("travel", bench__travel__end_feel="stops dead")
    page = someone.read("case-page")
    assert page.index("Your tuner asks for this.") < page.index(someone.url("bench-test", "sag"), page.index(
        "Your tuner asks for this."))


def test_a_german_rider_reads_the_test_in_german_on_the_page_and_in_the_mail(
        someone, tuner, django_capture_on_commit_callbacks):
    Case.objects.filter(number=someone.number).update(language="de")
    with django_capture_on_commit_callbacks(execute=True):
        services.ask_rider(case=someone.case, user=tuner.user, tests=["travel"])
    assert "Mach bitte diesen Test" in someone.case.question and "Mach bitte diesen Test" in mail.outbox[-1].body
    page = someone.client.get(someone.url("case-page"), headers={"accept-language": "de"}).content.decode()
    assert "Mach bitte diesen Test" in page or "Please do this test" in page  # the browser's language rules the page


def test_what_is_on_file_is_shown_and_not_asked_again(someone, tuner):
    someone_has = someone.document["rider"]["mass_kg"]
    assert someone_has
    page = ask(someone, tuner, still_right=["rider.mass_kg"])
    assert "You told us" in page and "85" in page and "Is that still right?" in page


@pytest.mark.parametrize("asked", [
    {}, {"tests": ["travel", "sag", "push", "bounce"]}, {"tests": ["juggling"]}, {"still_right": ["bike.mass_kg"]},
    {"tests": ["travel", "sag", "push"], "question": "And the oil?"}, {"question": "Why?", "path": "the moon"}])
def test_too_much_and_what_cannot_be_asked_is_refused_and_nothing_changes(someone, tuner, asked):
    with pytest.raises(Refused):
        ask(someone, tuner, **asked)
    assert someone.case.state == Case.State.READY and someone.case.asked == {}


def test_a_test_that_was_done_is_not_asked_for_again(tuner):
    rider = Rider()
    rider.answer_first()
    rider.measure("travel", bench__travel__end_feel="stops dead")
    services.record_assessment(order=services.hand_in(round=rider.case.current_round, who="rider"), summary={},
                               stop=False)
    with pytest.raises(Refused, match="on file"):
        services.ask_rider(case=rider.case, user=tuner.user, tests=["travel"])


def test_a_doubled_click_asks_once(someone, tuner):
    for _ in range(2):
        services.ask_rider(case=someone.case, user=tuner.user, tests=["travel"])
    assert someone.case.events.filter(what="Rider asked.").count() == 1


def test_the_answer_is_drafted_again_and_the_case_comes_back_on_top(someone, tuner):
    queued()
    ask(someone, tuner, tests=["travel"])
    someone.measure("travel", bench__travel__end_feel="stops dead")
    someone.client.post(someone.url("hand-in"))
    case = someone.case
    assert (case.state, case.returned, lane_of(case.rank)) == ("handed in", "answer", Lane.RETURNED)
    assert queue_page(user=tuner.user).cases[0] == case and (case.asked, case.question) == ({}, "")
    assert case.current_round.work_order.state == "waiting"


def test_a_safety_sign_comes_before_anything_that_was_asked(someone, tuner):
    ask(someone, tuner, tests=["travel"])
    someone.save("safety", safety__crack_or_crease="yes")
    page = someone.read("case-page")
    assert "Your tuner asks for this." not in page


def test_a_question_from_before_there_were_steps_is_still_shown(someone, tuner):
    ask(someone, tuner, question="Which oil?", path="service")
    Case.objects.filter(number=someone.number).update(asked={})
    assert "Which oil?" in someone.read("case-page")
    assert someone.client.get(reverse("check", args=[someone.number])).status_code == 200
