"""Handing in: checked, frozen, put to work, once."""
from __future__ import annotations

from typing import Any

import pytest

from analysis.document import CaseFaults
from intake import services
from intake.errors import Refused
from intake.models import Case, Event, Round, WorkOrder
from intake.signals import work_waiting

pytestmark = pytest.mark.django_db
GOOD = {"complaint.words": "It will not use its travel", "bike.description": "A red tourer", "bike.mass_kg": "210 kg"}


@pytest.fixture
def round(rider: Any) -> Round:
    return services.save_answers(round=rider.case.current_round, answers=GOOD)


@pytest.fixture
def rung():
    orders: list[int] = []

    def hear(order_id: int, **kwargs: Any) -> None:
        orders.append(order_id)

    work_waiting.connect(hear)
    yield orders
    work_waiting.disconnect(hear)


def fresh(round: Round) -> Round:
    return Round.objects.select_related("case").get(pk=round.pk)


def test_handing_in_freezes_the_round_writes_the_order_and_rings_after_the_commit(
        round, rung, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        order = services.hand_in(round=round, who="rider")
        assert rung == []
    now = fresh(round)
    assert rung == [order.pk]
    assert now.handed_in_at and now.case.state == Case.State.HANDED_IN
    assert (order.state, order.revision) == (WorkOrder.State.WAITING, now.revision)


def test_a_doubled_click_gets_the_same_order_and_one_bell(round, rung, django_capture_on_commit_callbacks):
    stale = fresh(round)
    with django_capture_on_commit_callbacks(execute=True):
        first, second = services.hand_in(round=round, who="rider"), services.hand_in(round=stale, who="rider")
    assert first.pk == second.pk and rung == [first.pk]
    assert Event.objects.filter(case=round.case, what="Handed in.").count() == 1


def test_a_listener_that_fails_does_not_harm_the_hand_in(round, django_capture_on_commit_callbacks):
    def fall_over(**kwargs: Any) -> None:
        raise RuntimeError("no broker")

    work_waiting.connect(fall_over)
    try:
        with django_capture_on_commit_callbacks(execute=True):
            services.hand_in(round=round, who="rider")
    finally:
        work_waiting.disconnect(fall_over)
    assert fresh(round).case.state == Case.State.HANDED_IN


def test_a_handed_in_round_refuses_answers_with_a_way_on(round):
    services.hand_in(round=round, who="rider")
    with pytest.raises(Refused) as refused:
        services.save_answers(round=round, answers={"bike.mass_kg": "1"})
    assert "handed in" in refused.value.problem and "tuner" in refused.value.mend
    assert fresh(round).document["bike"]["mass_kg"] == "210 kg"


def test_every_fault_is_told_and_nothing_is_frozen(round):
    services.save_answers(round=round, answers={"bike.mass_kg": "heavy", "rider.mass_kg": "9000 kg",
                                                "complaint.words": "", "complaint.symptoms": []})
    with pytest.raises(CaseFaults) as caught:
        services.hand_in(round=round, who="rider")
    assert {fault.path for fault in caught.value.faults} == {"bike.mass_kg", "rider.mass_kg", "complaint.words"}
    assert fresh(round).handed_in_at is None and fresh(round).case.state == Case.State.COLLECTING


@pytest.mark.parametrize("complaint", [
    {"complaint.words": None}, {"complaint.words": {"known": "unknown"}}, {"complaint.words": "  "}])
def test_a_complaint_that_says_nothing_is_a_fault(round, complaint):
    services.save_answers(round=round, answers=complaint)
    with pytest.raises(CaseFaults, match="(?s)."):
        services.hand_in(round=round, who="rider")


def test_a_symptom_without_words_is_enough(round):
    services.save_answers(round=round, answers={"complaint.words": "", "complaint.symptoms": ["dives"]})
    assert services.hand_in(round=round, who="rider").state == WorkOrder.State.WAITING


def test_unanswered_safety_questions_are_noted_and_do_not_stop_it(round):
    services.save_answers(round=round, answers={"safety.brake_weak": False, "safety.stuck_down": None})
    services.hand_in(round=round, who="rider")
    open_ones = Event.objects.get(case=round.case, what="Handed in.").detail["safety_unanswered"]
    assert "safety.oil_on_brake" in open_ones
    assert not {"safety.brake_weak", "safety.stuck_down"} & set(open_ones)


def test_the_title_comes_from_the_persons_own_words_where_there_is_none(round):
    services.hand_in(round=round, who="rider")
    assert fresh(round).case.title == "A red tourer: It will not use its travel"


def test_an_answer_saved_while_it_is_handed_in_is_checked_too(round, monkeypatch):
    from intake.services import handing_in

    real, slipped = handing_in.check_document, []

    def check_slowly(document: Any) -> None:
        real(document)
        if not slipped:
            slipped.append(1)
            services.save_answers(round=round, answers={"rider.mass_kg": "85 kg"})

    monkeypatch.setattr(handing_in, "check_document", check_slowly)
    order = services.hand_in(round=round, who="rider")
    assert order.revision == fresh(round).revision == 2
    assert fresh(round).document["rider"]["mass_kg"] == "85 kg"


def test_a_round_opened_for_an_answer_is_handed_in_with_a_higher_revision(round, tuner):
    first = services.hand_in(round=round, who="rider")
    WorkOrder.objects.filter(pk=first.pk).update(state=WorkOrder.State.DONE)
    services.record_assessment(order=first, summary={}, stop=False)
    services.ask_rider(case=fresh(round).case, question="Which oil?", path="service", user=tuner.user)
    again = services.hand_in(round=round, who="rider")
    assert (again.pk, again.state, again.revision) == (first.pk, WorkOrder.State.WAITING, first.revision + 1)
    assert fresh(round).case.question == ""


@pytest.mark.parametrize("end", [Case.State.CLOSED, Case.State.WITHDRAWN])
def test_an_ended_case_is_not_handed_in(round, end):
    Case.objects.filter(pk=round.case_id).update(state=end)
    with pytest.raises(Refused, match="new case"):
        services.hand_in(round=round, who="rider")


@pytest.mark.parametrize("end", ["withdraw", "close"])
def test_a_late_second_click_on_a_case_that_has_ended_meanwhile_gets_a_clear_word(round, tuner, end):
    services.hand_in(round=round, who="rider")
    if end == "withdraw":
        services.withdraw(case=round.case)
    else:
        services.close_case(case=round.case, outcome="never heard", proof="", words="", user=tuner.user)
    with pytest.raises(Refused, match="Start a new case"):
        services.hand_in(round=round, who="rider")
    assert not WorkOrder.objects.exists()


def test_a_case_number_that_is_taken_is_drawn_again(round, monkeypatch):
    drawn = iter([*round.case.number.removeprefix("FB-"), *"ABCDEF"])
    monkeypatch.setattr("intake.numbers.secrets.choice", lambda letters: next(drawn))
    assert services.start_case().number == "FB-ABCDEF"
