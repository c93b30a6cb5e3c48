"""Riders are reminded a few times, at their own time of day, and never twice; it stops by itself."""
from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.core import mail
from django.db import IntegrityError
from django.test import Client
from django.urls import reverse

from intake import services as cases
from intake.models import Case, Event
from intake.sheets import Sheet
from reports import services, sweeper
from reports.mail import LATER, UNKNOWN, Outcome
from reports.models import Reminder
from reports.services import reminding
from tests.letter_cases import approved_letter, use_fake_engine

pytestmark = pytest.mark.django_db
START = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
S, Step = Case.State, Reminder.Step


@pytest.fixture
def clock():
    with time_machine.travel(START, tick=False) as traveller:
        yield traveller


@pytest.fixture
def case(clock, db) -> Case:
    return cases.start_case(rider_name="Quillfeather", rider_email="rider@riders.example", title="Red scrambler: dives")


def days_on(clock, days: float) -> None:
    """Go there in steps of a day, and let the sweep and the worker do their work at each."""
    end = START + timedelta(days=days)
    now = datetime.now(UTC)
    while now < end:
        now = min(now + timedelta(days=1), end)
        clock.move_to(now)
        work()


def work() -> None:
    sweeper.sweep()
    for reminder in Reminder.objects.filter(state="queued"):
        services.remind(reminder_id=reminder.pk, worker="worker")


def steps() -> list[str]:
    return list(Reminder.objects.filter(state="sent").order_by("sent_at").values_list("step", flat=True))


def test_whoever_owes_answers_is_reminded_on_day_3_7_and_21_and_then_left_alone(clock, case):
    for day, known in ((2.9, []), (3, ["gentle"]), (6.9, ["gentle"]), (7, ["gentle", "one ask"]),
                       (20.9, ["gentle", "one ask"]), (21, ["gentle", "one ask", "last"])):
        days_on(clock, day)
        assert steps() == known, day
    days_on(clock, 58)
    assert steps() == ["gentle", "one ask", "last"] and len(mail.outbox) == 3


def test_after_days_without_a_worker_the_next_step_alone_goes_out(clock, case):
    for day in (3, 7):
        clock.move_to(START + timedelta(days=day))
        sweeper.sweep()
    work()
    assert steps() == ["one ask"] and len(mail.outbox) == 1


def test_on_day_35_the_case_is_quiet_and_keeps_its_state_until_the_rider_comes_back(clock, case, client):
    days_on(clock, 34.9)
    case.refresh_from_db()
    assert case.quiet_since is None
    days_on(clock, 35)
    case.refresh_from_db()
    assert case.quiet_since is not None and case.state == S.COLLECTING
    days_on(clock, 40)
    assert case.events.filter(what="Gone quiet.").count() == 1
    cases.save_answers(round=case.current_round, answers={"complaint.words": "Back again."})
    case.refresh_from_db()
    assert case.quiet_since is None


def test_the_queue_shows_what_has_gone_quiet(case, tuner):
    cases.go_quiet(case=case)
    assert "gone quiet" in tuner.client.get(reverse("queue"), {"state": S.COLLECTING}).content.decode()


def test_every_act_of_the_rider_starts_the_days_anew(clock, case):
    days_on(clock, 2)
    cases.save_answers(round=case.current_round, answers={"complaint.words": "It dives."})
    days_on(clock, 4.9)
    assert steps() == []
    days_on(clock, 5)
    assert steps() == ["gentle"]


def test_after_a_letter_it_is_asked_how_it_went_on_day_7_and_21(clock, case, monkeypatch):
    use_fake_engine(monkeypatch)
    round = cases.save_answers(round=case.current_round, answers={"complaint.words": "It dives."})
    approved_letter(cases.hand_in(round=round, who="rider"))
    days_on(clock, 6)
    assert steps() == []
    days_on(clock, 34)
    assert steps() == ["how it goes", "how it went"]
    assert [message.subject for message in mail.outbox] == ["How did it go?"] * 2


@pytest.mark.parametrize("ends", [
    lambda case: cases.withdraw(case=case), lambda case: cases.set_reminders(case=case, wanted=False),
    lambda case: cases.erase_case(case=case, typed=case.number),
    lambda case: Case.objects.filter(pk=case.pk).update(state=S.CLOSED),
    lambda case: Case.objects.filter(pk=case.pk).update(state=S.READY),
    lambda case: Case.objects.filter(pk=case.pk).update(rider_email=""),
], ids=["withdrawn", "stopped", "erased", "closed", "handed in", "no address"])
def test_they_stop_by_themselves(clock, case, ends):
    clock.move_to(START + timedelta(days=3))
    services.plan_reminders()
    queued = Reminder.objects.get().pk
    ends(case)
    assert services.remind(reminder_id=queued, worker="w") == "" and mail.outbox == []
    days_on(clock, 34)
    assert mail.outbox == [] and not Reminder.objects.exists()


@pytest.mark.parametrize("zone, hours", [("Asia/Tokyo", 12), ("America/Los_Angeles", 5), ("Europe/Madrid", 0), ("", 0),
                                         ("No/Such", 0), ("../etc/passwd", 0)])
def test_they_come_in_the_riders_own_day(clock, case, zone, hours):
    """So many hours after noon in UTC it is nine in the morning there; at noon itself it is day in Europe."""
    Case.objects.filter(pk=case.pk).update(rider_time_zone=zone)
    for hour in range(24):
        clock.move_to(START + timedelta(days=3, hours=hour))
        work()
        if mail.outbox:
            break
    assert hour == hours


def test_one_that_comes_to_a_worker_at_night_waits_for_the_morning(clock, case):
    clock.move_to(START + timedelta(days=3))
    services.plan_reminders()
    clock.move_to(START + timedelta(days=3, hours=10))  # 22 o'clock
    assert services.remind(reminder_id=Reminder.objects.get().pk, worker="w") == "queued" and mail.outbox == []
    clock.move_to(START + timedelta(days=3, hours=21))
    work()
    assert len(mail.outbox) == 1


def test_the_bells_of_a_night_do_not_use_up_its_tries(clock, case, monkeypatch):
    clock.move_to(START + timedelta(days=3))
    services.plan_reminders()
    reminder = Reminder.objects.get()
    for minute in range(10):
        clock.move_to(START + timedelta(days=3, hours=10, minutes=minute))
        assert services.remind(reminder_id=reminder.pk, worker="w") == "queued"
    clock.move_to(START + timedelta(days=3, hours=21))
    monkeypatch.setattr(reminding, "hand_over", lambda message: Outcome(LATER, "busy"))
    assert services.remind(reminder_id=reminder.pk, worker="w") == "queued"
    monkeypatch.undo()
    clock.move_to(START + timedelta(days=3, hours=21, minutes=2))
    assert services.remind(reminder_id=reminder.pk, worker="w") == "sent"


def test_a_crash_while_sending_is_unknown_and_never_sent_again(clock, case):
    clock.move_to(START + timedelta(days=3))
    services.plan_reminders()
    assert reminding._claim(Reminder.objects.get().pk, "worker that dies")
    clock.move_to(START + timedelta(days=3, hours=2))
    work()
    assert Reminder.objects.get().state == "unknown" and mail.outbox == []
    days_on(clock, 6.9)
    assert mail.outbox == [] and Reminder.objects.count() == 1


def test_two_workers_and_two_sweeps_send_one(clock, case):
    clock.move_to(START + timedelta(days=3))
    services.plan_reminders()
    services.plan_reminders()
    reminder = Reminder.objects.get()
    assert [services.remind(reminder_id=reminder.pk, worker=name) for name in "ab"] == ["sent", ""]
    assert len(mail.outbox) == 1
    with pytest.raises(IntegrityError):
        Reminder.objects.create(round=reminder.round, step=reminder.step, message_id="<another@x>")


def test_a_relay_that_says_later_is_asked_again_and_one_that_goes_silent_is_not(clock, case, monkeypatch):
    clock.move_to(START + timedelta(days=3))
    services.plan_reminders()
    answers = iter([Outcome(LATER, "busy"), Outcome(UNKNOWN, "gone")])
    monkeypatch.setattr(reminding, "hand_over", lambda message: next(answers))
    reminder = Reminder.objects.get()
    assert services.remind(reminder_id=reminder.pk, worker="w") == "queued"
    assert services.remind(reminder_id=reminder.pk, worker="w") == ""  # it rests first
    clock.move_to(START + timedelta(days=3, minutes=2))
    assert services.remind(reminder_id=reminder.pk, worker="w") == "unknown"
    assert services.remind(reminder_id=reminder.pk, worker="w") == ""


class TestTheMail:
    @pytest.fixture
    def sent(self, clock, case):
        cases.save_answers(round=case.current_round, answers={"complaint.words": "It dives."})
        Event.objects.filter(case=case).update(at=START)
        days_on(clock, 21)
        return mail.outbox

    def test_a_lock_screen_shows_nothing_private(self, sent, case):
        assert len(sent) == 3
        for message in sent:
            first = message.body.splitlines()[0]
            assert len(message.subject) <= 40 and len(first) <= 60
            for private in (case.number, "Quillfeather", "scrambler", "dives", "suspension", "fork"):
                assert private.lower() not in f"{message.subject} {first}".lower()

    def test_day_7_asks_for_the_one_most_useful_thing(self, sent, case):
        coming = Sheet(case, case.current_round, case.current_round.document).way.next
        assert f"One thing helps most now:\n\n{coming.title}." in sent[1].body
        assert coming.title not in sent[0].body + sent[2].body

    def test_each_has_a_link_that_opens_the_case(self, sent, case):
        for message in sent:
            token = message.body.partition("/link/")[2].partition("/")[0]
            assert cases.case_for_token(token=token) == case

    def test_one_click_of_a_mail_program_stops_them(self, sent, case):
        headers = sent[0].extra_headers
        assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
        address = headers["List-Unsubscribe"].strip("<>").partition("/no-more")[2]
        strict = Client(enforce_csrf_checks=True)
        page = strict.get(f"/no-more{address}")
        case.refresh_from_db()
        assert page.status_code == 200 and not case.no_reminders  # looking does nothing
        strict.post(f"/no-more{address}", {"List-Unsubscribe": "One-Click"})
        case.refresh_from_db()
        assert case.no_reminders

    def test_a_made_up_key_stops_nothing(self, case, client):
        forged = reverse("no-more-reminders", args=[cases.reminder_key(case=case)[:-2] + "xx"])
        assert client.post(forged).status_code == 404

    def test_a_question_is_what_matters_most(self, clock, case, tuner):
        Case.objects.filter(pk=case.pk).update(state=S.NEEDS_ANSWER, question="Was the spring out?")
        days_on(clock, 7)
        assert "Was the spring out?" in mail.outbox[1].body
