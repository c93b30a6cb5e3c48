"""The sweep finds what bells and workers have lost, and touches nothing that is being worked on."""
from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from intake.lanes import Lane, lane_of
from intake.models import Case, WorkOrder
from intake.signals import work_waiting
from reports import services, sweeper
from reports.models import Delivery
from reports.services import drafting
from reports.signals import mail_waiting
from tests.intake.queued import queued
from tests.letter_cases import approved_letter, handed_in, use_fake_engine

pytestmark = pytest.mark.django_db
LONG_AGO = timedelta(minutes=2)


@pytest.fixture
def rung(monkeypatch):
    """Return what is rung for while no worker listens."""
    use_fake_engine(monkeypatch)
    heard = []
    orders = lambda order_id, **kwargs: heard.append(("draft", order_id))  # noqa: E731  kept alive by this name
    mails = lambda delivery_id, **kwargs: heard.append(("deliver", delivery_id))  # noqa: E731
    monkeypatch.setattr(work_waiting, "receivers", [])
    monkeypatch.setattr(mail_waiting, "receivers", [])
    for signal, listener in ((work_waiting, orders), (mail_waiting, mails)):
        signal.sender_receivers_cache.clear()
        signal.connect(listener)
    yield heard
    work_waiting.disconnect(orders)
    mail_waiting.disconnect(mails)


def age(order, **changes):
    WorkOrder.objects.filter(pk=order.pk).update(created_at=timezone.now() - LONG_AGO, **changes)
    order.refresh_from_db()


def test_a_waiting_order_whose_bell_was_lost_is_rung_for_again(rung):
    order = handed_in()
    sweeper.sweep()
    assert rung == [], "the bell may still be on its way"
    age(order)
    sweeper.sweep()
    assert rung == [("draft", order.pk)]


def test_an_order_under_a_live_lease_or_done_or_parked_is_left_alone(rung):
    for state in ("claimed", "done", "parked"):
        age(handed_in(), state=state, claimed_until=timezone.now() + LONG_AGO)
    sweeper.sweep()
    assert rung == []


def test_an_order_whose_lease_ran_out_is_rung_for_and_drafted(rung):
    order = handed_in()
    age(order, state="claimed", claimed_by="gone", claimed_until=timezone.now() - LONG_AGO, attempts=1)
    sweeper.sweep()
    assert rung == [("draft", order.pk)]
    assert services.draft_round(order_id=order.pk, worker="worker-2") is not None


def test_an_order_that_failed_rests_before_it_is_tried_again(rung, monkeypatch):
    order = handed_in()
    monkeypatch.setattr(drafting, "compute", lambda round: 1 / 0)
    services.draft_round(order_id=order.pk, worker="worker-1")
    age(order)
    sweeper.sweep()
    assert rung == []
    age(order, claimed_until=timezone.now() - timedelta(seconds=1))
    sweeper.sweep()
    assert rung == [("draft", order.pk)]


def test_an_order_that_killed_its_worker_three_times_is_parked_with_its_reason(rung):
    order = handed_in()
    age(order, state="claimed", claimed_by="gone", claimed_until=timezone.now() - LONG_AGO, attempts=3)
    sweeper.sweep()
    order.refresh_from_db()
    assert (order.state, rung) == ("parked", []) and "stopped 3 times" in order.reason
    assert order.round.case.events.filter(what="Could not be drafted; put aside.").count() == 1


def test_a_queued_letter_whose_bell_was_lost_is_rung_for_again(rung):
    delivery = services.queue_delivery(letter=approved_letter(), to="rider@example.org")
    sweeper.sweep()
    assert rung == []
    Delivery.objects.update(created_at=timezone.now() - LONG_AGO)
    sweeper.sweep()
    assert rung == [("deliver", delivery.pk)]


def test_a_letter_that_waits_for_a_busy_relay_is_rung_for_when_its_rest_is_over(rung):
    delivery = services.queue_delivery(letter=approved_letter(), to="rider@example.org")
    Delivery.objects.update(created_at=timezone.now() - LONG_AGO, not_before=timezone.now() + LONG_AGO)
    sweeper.sweep()
    assert rung == []
    Delivery.objects.update(not_before=timezone.now() - timedelta(seconds=1))
    sweeper.sweep()
    assert rung == [("deliver", delivery.pk)]


def test_a_letter_whose_worker_vanished_while_sending_is_unknown_and_not_sent_again(rung):
    delivery = services.queue_delivery(letter=approved_letter(), to="rider@example.org")
    Delivery.objects.update(state="sending", claimed_by="gone", claimed_until=timezone.now() - LONG_AGO,
                            created_at=timezone.now() - LONG_AGO)
    sweeper.sweep()
    sweeper.sweep()
    delivery.refresh_from_db()
    assert (delivery.state, rung) == ("unknown", []) and "stopped while it was sending" in delivery.reason
    assert delivery.letter.round.case.events.filter(what__startswith="Nobody can say").count() == 1


def test_a_letter_that_is_being_sent_is_left_alone(rung):
    delivery = services.queue_delivery(letter=approved_letter(), to="rider@example.org")
    Delivery.objects.update(state="sending", claimed_until=timezone.now() + LONG_AGO)
    sweeper.sweep()
    delivery.refresh_from_db()
    assert (delivery.state, rung) == ("sending", [])


def test_a_backlog_does_not_flood_the_broker(rung, monkeypatch):
    monkeypatch.setattr(sweeper, "AT_ONCE", 2)
    orders = [handed_in() for _ in range(3)]
    for order in orders:
        age(order)
    sweeper.sweep()
    assert rung == [("draft", order.pk) for order in orders[:2]], "the oldest first"


def test_a_case_whose_time_has_run_out_moves_up_in_the_queue(rung):
    case = queued(since=timezone.now() - timedelta(hours=23))
    Case.objects.filter(pk=case.pk).update(rank=case.rank - 2 * 3600 * 10**6)
    sweeper.sweep()
    case.refresh_from_db()
    assert lane_of(case.rank) == Lane.OVERDUE


def test_one_step_that_fails_does_not_hold_up_the_others(rung, monkeypatch):
    def broken():
        raise ValueError("one bad row")

    order = handed_in()
    age(order)
    monkeypatch.setattr(sweeper, "call_hanging_mail_unknown", broken)
    sweeper.sweep()
    assert rung == [("draft", order.pk)]
