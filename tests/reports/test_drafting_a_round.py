"""A handed-in round is claimed by lease, drafted once, and stored only while the claim still holds."""
from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from intake.models import Case, Round, WorkOrder
from reports import services
from reports.models import Draft, Letter
from reports.services import drafting, edge
from tests.letter_cases import drafted, handed_in, handed_in_again, tuner, use_fake_engine

pytestmark = pytest.mark.django_db
State = WorkOrder.State


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def draft(order, worker="worker-1"):
    return services.draft_round(order_id=order.pk, worker=worker)


def test_a_waiting_round_becomes_a_draft_with_a_first_letter_by_the_worker():
    order = handed_in()
    made = draft(order)
    order.refresh_from_db()
    letter = Letter.objects.get(round=order.round)
    assert (order.state, order.reason, order.claimed_until, order.attempts) == (State.DONE, "", None, 1)
    assert order.done_at is not None
    assert (made.revision, made.engine_version, letter.draft) == (3, "1.0.0", made)
    assert [(v.number, v.author, v.text) for v in letter.versions.all()] == [(1, "worker", made.letter_text)]


def test_the_queue_learns_what_was_found():
    order = handed_in()
    draft(order)
    case = Case.objects.get()
    assert case.state == Case.State.READY
    assert case.summary == {
        "verdict": "Most likely too much oil.", "kind": "cause", "cause": "Too much oil", "probability": 0.91,
        "second": "Coil bind", "missing": 1, "lacks": ["Mass"], "disagreements": 0,
        "next_test": "Oil level, leg by leg",
        "marks": {"stroke_mm": 140.0, "found": [], "advised": [], "measured": []}}


def test_a_stop_sign_sends_the_case_to_the_workshop(monkeypatch):
    use_fake_engine(monkeypatch, stop_riding=True)
    draft(handed_in())
    case = Case.objects.get()
    assert (case.state, case.stop) == (Case.State.WORKSHOP_ONLY, True)


def test_findings_without_any_cause_still_reach_the_queue(monkeypatch):
    use_fake_engine(monkeypatch, causes=[], next_test=None)
    draft(handed_in())
    summary = Case.objects.get().summary
    assert (summary["cause"], summary["probability"], summary["second"], summary["next_test"]) == (None,) * 4


def test_a_task_that_comes_twice_changes_nothing():
    order = handed_in()
    draft(order)
    assert draft(order) is None
    assert (Draft.objects.count(), Letter.objects.count()) == (1, 1)
    assert Case.objects.get().events.filter(what="Assessed.").count() == 1


def test_nobody_takes_an_order_whose_lease_still_runs(monkeypatch):
    order = handed_in()
    seen = []

    def while_working(round):
        seen.append(draft(order, "worker-2"))
        return drafted()

    monkeypatch.setattr(drafting, "compute", while_working)
    assert draft(order) is not None
    assert seen == [None] and WorkOrder.objects.get().attempts == 1


def test_an_expired_lease_is_taken_over_and_the_first_worker_stores_nothing(monkeypatch):
    order = handed_in()
    late = []

    def slow_first_worker(round):
        if not late:
            late.append(round)
            WorkOrder.objects.update(claimed_until=timezone.now() - timedelta(seconds=1))
            assert draft(order, "worker-2").letter_text == "by the second\n"
            return drafted("by the first\n")
        return drafted("by the second\n")

    monkeypatch.setattr(drafting, "compute", slow_first_worker)
    assert draft(order, "worker-1") is None
    assert Draft.objects.get().letter_text == "by the second\n"
    assert WorkOrder.objects.get().state == State.DONE


def test_a_result_for_answers_that_moved_on_is_not_stored(monkeypatch):
    order = handed_in()

    def handed_in_again_meanwhile(round):
        handed_in_again(WorkOrder.objects.get())
        return drafted()

    monkeypatch.setattr(drafting, "compute", handed_in_again_meanwhile)
    assert draft(order) is None
    assert not Draft.objects.exists() and WorkOrder.objects.get().state == State.WAITING


def test_answers_that_were_opened_again_are_not_drafted():
    order = handed_in()
    Round.objects.update(handed_in_at=None)
    assert draft(order) is None
    order.refresh_from_db()
    assert order.state == State.DONE and "opened again" in order.reason and not Draft.objects.exists()


def test_a_failure_is_written_down_and_the_order_waits(monkeypatch):
    order = handed_in()
    monkeypatch.setattr(drafting, "compute", lambda round: 1 / 0)
    assert draft(order) is None
    order.refresh_from_db()
    assert (order.state, order.attempts) == (State.WAITING, 1)
    assert "division by zero" in order.reason and order.claimed_until > timezone.now()


def test_a_failure_while_storing_leaves_nothing_half_stored(monkeypatch):
    order = handed_in()
    monkeypatch.setattr(drafting, "record_assessment", lambda **kwargs: 1 / 0)
    draft(order)
    assert not Draft.objects.exists() and not Letter.objects.exists()
    assert WorkOrder.objects.get().state == State.WAITING


def test_the_third_failure_parks_the_case_with_its_reason_until_a_person_lets_it_go_on(monkeypatch):
    order = handed_in()
    with monkeypatch.context() as broken:
        broken.setattr(drafting, "compute", lambda round: {}["spring"])
        for _ in range(4):
            draft(order)
    order.refresh_from_db()
    assert (order.state, order.attempts) == (State.PARKED, 3) and "spring" in order.reason
    aside = order.round.case.events.get(what="Could not be drafted; put aside.")
    assert aside.detail == {"reason": order.reason}
    services.try_again(order=order, user=tuner())
    assert draft(order) is not None


def test_the_same_answers_meet_the_same_random_numbers():
    first, second = handed_in().round, handed_in().round
    again = Round.objects.get(pk=first.pk)
    assert drafting.random_numbers(first).random() == drafting.random_numbers(again).random()
    assert drafting.random_numbers(first).random() != drafting.random_numbers(second).random()
    again.revision += 1
    assert drafting.random_numbers(first).random() != drafting.random_numbers(again).random()


def test_a_reason_that_no_database_can_hold_is_written_down_all_the_same(monkeypatch):
    def trip(round):
        raise ValueError("half \ud83d and nul \x00" + "x" * 10_000)

    monkeypatch.setattr(drafting, "compute", trip)
    monkeypatch.setattr(edge.logger, "disabled", True)  # tests that run side by side cannot report half a character
    order = handed_in()
    services.draft_round(order_id=order.pk, worker="worker-1")
    order.refresh_from_db()
    assert order.reason.startswith("half ? and nul ") and len(order.reason) < 3_000
