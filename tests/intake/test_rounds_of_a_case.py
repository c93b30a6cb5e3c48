"""Between the hand-in and the end: assessed, asked back, advised, the next round, withdrawn."""
from __future__ import annotations

import re
from typing import Any

import pytest

from intake import services
from intake.errors import Refused
from intake.lanes import Lane, lane_of
from intake.models import Case, WorkOrder

pytestmark = pytest.mark.django_db
S = Case.State
ANSWERS = {"complaint.words": "Stops dead", "bike.mass_kg": 210, "safety.brake_weak": False, "safety.stuck_down": None,
           "bench.push.slow_stroke_mm": 60}


@pytest.fixture
def order(rider: Any) -> WorkOrder:
    round = services.save_answers(round=rider.case.current_round, answers=ANSWERS)
    return services.hand_in(round=round, who="rider")


def case_now(order: WorkOrder) -> Case:
    return Case.objects.get(pk=order.round.case_id)


@pytest.mark.parametrize("stop, state", [(False, S.READY), (True, S.WORKSHOP_ONLY)])
def test_an_assessment_puts_the_case_before_the_tuner(order, stop, state):
    assert services.record_assessment(order=order, summary={"verdict": "Too much oil"}, stop=stop)
    case = case_now(order)
    assert (case.state, case.stop, case.summary["verdict"]) == (state, stop, "Too much oil")


def test_an_older_assessment_never_replaces_a_newer_one(order, tuner):
    services.record_assessment(order=order, summary={"verdict": "first"}, stop=False)
    late = WorkOrder.objects.select_related("round__case").get(pk=order.pk)
    WorkOrder.objects.filter(pk=order.pk).update(state=WorkOrder.State.DONE)
    services.ask_rider(case=case_now(order), question="Which oil?", user=tuner.user)
    services.save_answers(round=order.round, answers={"bike.mass_kg": 220})
    newer = services.hand_in(round=order.round, who="rider")
    assert services.record_assessment(order=newer, summary={"verdict": "second"}, stop=False)
    assert not services.record_assessment(order=late, summary={"verdict": "late"}, stop=True)
    assert (case_now(order).summary["verdict"], case_now(order).stop) == ("second", False)


def test_an_assessment_of_the_last_round_does_not_touch_the_next_one(order, tuner):
    services.record_assessment(order=order, summary={"verdict": "first"}, stop=False)
    services.mark_advised(case=case_now(order), user=tuner.user)
    services.open_next_round(case=case_now(order), who="rider")
    assert not services.record_assessment(order=order, summary={"verdict": "late"}, stop=True)
    assert case_now(order).state == S.COLLECTING


def test_an_assessment_that_comes_after_the_withdrawal_finds_its_order_gone(order):
    services.withdraw(case=case_now(order))
    assert not WorkOrder.objects.filter(pk=order.pk).exists()
    assert not services.record_assessment(order=order, summary={}, stop=True)
    assert (case_now(order).state, case_now(order).stop) == (S.WITHDRAWN, False)


def test_a_question_opens_the_round_again_and_calls_off_work_not_done(order, tuner):
    services.ask_rider(case=case_now(order), question=" Which oil? ", path="service", user=tuner.user)
    case = case_now(order)
    assert (case.state, case.question, case.question_path) == (S.NEEDS_ANSWER, "Which oil?", "service")
    assert not WorkOrder.objects.exists()
    assert services.save_answers(round=case.current_round, answers={"bike.mass_kg": 211}).revision > order.revision
    assert services.hand_in(round=case.current_round, who="rider").state == WorkOrder.State.WAITING


def test_the_same_question_twice_is_asked_once_and_another_is_refused(order, tuner, other_tuner):
    services.ask_rider(case=case_now(order), question="Which oil?", user=tuner.user)
    services.ask_rider(case=case_now(order), question="Which oil?", user=tuner.user)
    with pytest.raises(Refused, match="one at a time"):
        services.ask_rider(case=case_now(order), question="Which bike?", user=other_tuner.user)
    assert case_now(order).events.filter(what="Rider asked.").count() == 1


@pytest.mark.parametrize("question, path", [("", ""), ("Which?", "no such page")])
def test_a_question_needs_words_and_a_page_that_exists(order, tuner, question, path):
    with pytest.raises(Refused):
        services.ask_rider(case=case_now(order), question=question, path=path, user=tuner.user)


def test_the_next_round_copies_the_answers_but_measures_and_looks_anew(order, tuner):
    services.record_assessment(order=order, summary={}, stop=False)
    services.mark_advised(case=case_now(order), user=tuner.user)
    opened = services.open_next_round(case=case_now(order), who="rider")
    assert opened.number == 2 and opened.handed_in_at is None
    assert opened.document == {"complaint": {"words": "Stops dead"}, "bike": {"mass_kg": 210}}
    order.round.refresh_from_db()
    assert order.round.document["bench"] == {"push": {"slow_stroke_mm": 60}}


def test_a_doubled_click_opens_one_round(order, tuner):
    services.record_assessment(order=order, summary={}, stop=False)
    services.mark_advised(case=case_now(order), user=tuner.user)
    first, second = (services.open_next_round(case=case_now(order), who="rider") for _ in range(2))
    assert first.pk == second.pk and case_now(order).rounds.count() == 2


@pytest.mark.parametrize(("known", "then"), [(False, Case.State.WORKSHOP_ONLY), (True, Case.State.ADVISED)])
def test_a_stop_that_is_news_to_an_advised_case_brings_it_back_on_top(order, tuner, known, then):
    services.record_assessment(order=order, summary={"verdict": "first"}, stop=known)
    services.mark_advised(case=case_now(order), user=tuner.user)
    services.record_assessment(order=order, summary={"verdict": "late"}, stop=True)
    case = case_now(order)
    assert (case.state, case.stop, lane_of(case.rank) is Lane.STOP) == (then, True, not known)


def test_advised_is_noted_once_and_can_be_taken_back_to_where_it_was(order, tuner):
    services.record_assessment(order=order, summary={}, stop=True)
    services.mark_advised(case=case_now(order), user=tuner.user)
    services.mark_advised(case=case_now(order), user=tuner.user)
    assert case_now(order).events.filter(what="Rider advised.").count() == 1
    services.record_assessment(order=order, summary={"verdict": "again"}, stop=True)
    assert case_now(order).state == S.ADVISED
    services.take_back_advice(case=case_now(order), user=tuner.user)
    assert case_now(order).state == S.WORKSHOP_ONLY


def test_withdrawing_twice_is_withdrawing_once(order):
    services.withdraw(case=case_now(order))
    services.withdraw(case=case_now(order))
    assert case_now(order).events.filter(what="Case withdrawn.").count() == 1
    with pytest.raises(Refused, match="withdrawn"):
        services.save_answers(round=order.round, answers={"bike.mass_kg": 1})


def test_a_question_is_mailed_once_with_a_way_to_answer_it(
        order, tuner, mailoutbox, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        for _ in range(2):
            services.ask_rider(case=case_now(order), question="Which oil\x00 is in it?", user=tuner.user)
    (message,) = mailoutbox
    assert message.to == [case_now(order).rider_email] and "Which oil is in it?" in message.body
    token = re.search(r"/link/([^/]+)/", message.body)[1]
    assert services.case_for_token(token=token) == case_now(order)
