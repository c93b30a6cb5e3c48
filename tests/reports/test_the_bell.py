"""The bell rings after the commit, and a broker that is away breaks nothing."""
from __future__ import annotations

import time

import pytest

from intake.models import WorkOrder
from intake.signals import photo_waiting, work_waiting
from reports import services, tasks
from reports.signals import mail_waiting
from tests.letter_cases import approved_letter, handed_in, tuner, use_fake_engine

pytestmark = pytest.mark.django_db


@pytest.fixture
def rung(monkeypatch):
    heard = []
    for task in (tasks.draft, tasks.deliver, tasks.make_photo):
        monkeypatch.setattr(task, "apply_async", lambda args, task=task, **options: heard.append((task.name, args)))
    return heard


def test_waiting_work_rings_for_its_own_task(rung):
    work_waiting.send(sender=WorkOrder, order_id=7)
    mail_waiting.send(sender=None, delivery_id=8)
    photo_waiting.send(sender=None, upload_id=9)
    assert rung == [("reports.tasks.draft", (7,)), ("reports.tasks.deliver", (8,)), ("reports.tasks.make_photo", (9,))]


def test_a_queued_letter_rings_only_after_the_commit(rung, monkeypatch, django_capture_on_commit_callbacks):
    use_fake_engine(monkeypatch)
    letter = approved_letter()
    with django_capture_on_commit_callbacks(execute=False) as waiting:
        delivery = services.queue_delivery(letter=letter, to="rider@example.org", user=tuner())
    assert rung == [] and len(waiting) == 1
    waiting[0]()
    assert rung == [("reports.tasks.deliver", (delivery.pk,))]


def test_a_broker_that_is_away_costs_a_moment_and_no_error(tmp_path, caplog, monkeypatch):
    app, started = tasks.draft.app, time.monotonic()
    with app.connection(f"redis+socket://{tmp_path}/nobody.sock") as nobody:
        monkeypatch.setattr(app, "connection_for_write", lambda *args, **kwargs: nobody)
        monkeypatch.setattr(app, "amqp", type(app.amqp)(app))  # a fresh one, with no pool of good connections
        work_waiting.send(sender=WorkOrder, order_id=7)
    assert "the sweep will find the work" in caplog.text
    assert time.monotonic() - started < 10


def test_the_tasks_do_the_rows_work_and_can_come_twice(monkeypatch, mailoutbox):
    use_fake_engine(monkeypatch)
    order = handed_in()
    for _ in range(2):
        tasks.draft.run(order.pk)
    letter = order.round.letters.get()
    services.approve(letter=letter, version=1, user=tuner())
    delivery = services.queue_delivery(letter=letter, to="rider@example.org")
    for _ in range(2):
        tasks.deliver.run(delivery.pk)
    assert len(mailoutbox) == 1


def test_tasks_are_taken_back_from_a_worker_that_dies():
    for task in (tasks.draft, tasks.deliver, tasks.sweep):
        assert task.acks_late and task.reject_on_worker_lost and task.ignore_result
