"""A tuner's question is mailed until the relay has taken it, whatever dies or is away on the way."""
from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from intake import links, services
from intake.models import Case
from intake.question_mail import MOST_TRIES, mail_lost_questions
from reports.sweeper import sweep
from tests.intake.rider_pages import Rider

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def case() -> Case:
    """A case that is with the tuner."""
    rider = Rider(email="rider@riders.example")
    rider.answer_first()
    order = services.hand_in(round=rider.case.current_round, who="rider")
    services.record_assessment(order=order, summary={}, stop=False)
    mail.outbox.clear()
    return rider.case


@pytest.fixture
def away(monkeypatch: Any) -> None:
    """The relay does not answer."""
    def nobody(self: Any, **named: Any) -> None:
        raise ConnectionRefusedError("nobody there")

    monkeypatch.setattr("django.core.mail.EmailMessage.send", nobody)


def ask(case: Case, tuner: Any) -> None:
    services.ask_rider(case=case, user=tuner.user, question="Which oil is in it?")


def later(minutes: int) -> Any:
    return time_machine.travel(timezone.now() + timedelta(minutes=minutes), tick=False)


def asked_for_mails() -> int:
    return sum("Which oil is in it?" in message.body for message in mail.outbox)


def test_it_is_mailed_once_and_no_sweep_mails_it_again(case, tuner):
    ask(case, tuner)
    assert asked_for_mails() == 1 and "mail" not in Case.objects.get().asked
    with later(10):
        sweep()
    assert asked_for_mails() == 1


def test_a_relay_that_was_away_is_tried_again_and_the_desk_says_so_until_it_is_out(case, tuner, away, monkeypatch):
    ask(case, tuner)
    shown = tuner.client.get(reverse("desk-case", args=[case.number])).content.decode()
    assert "has not gone out" in shown and "1 time." in shown
    monkeypatch.undo()
    sweep()
    assert asked_for_mails() == 0  # it rests first
    with later(3):
        sweep()
        sweep()
    assert asked_for_mails() == 1
    assert "has not gone out" not in tuner.client.get(reverse("desk-case", args=[case.number])).content.decode()
    token = mail.outbox[0].body.partition("/link/")[2].partition("/")[0]
    assert services.case_for_token(token=token) == case


def test_a_process_that_dies_between_asking_and_mailing_loses_no_question(case, tuner, monkeypatch):
    class Killed(BaseException):
        pass

    def kill(*args: Any) -> None:
        raise Killed

    monkeypatch.setattr(links, "_post", kill)
    with pytest.raises(Killed):
        ask(case, tuner)
    monkeypatch.undo()
    assert Case.objects.get().state == "needs an answer" and asked_for_mails() == 0
    with later(3):
        sweep()
    assert asked_for_mails() == 1


def test_it_is_given_up_in_the_end_and_stays_in_sight(case, tuner, away):
    ask(case, tuner)
    for turn in range(1, 2 * MOST_TRIES):
        with later(turn * 3 * 60):
            mail_lost_questions()
    assert Case.objects.get().asked["mail"]["tries"] == MOST_TRIES
    assert case.events.filter(what="The private link could not be mailed.").count() == MOST_TRIES
    assert f"{MOST_TRIES} times" in tuner.client.get(reverse("desk-case", args=[case.number])).content.decode()


@pytest.mark.parametrize("ends", ["answered", "withdrawn", "no address"])
def test_what_is_no_longer_asked_is_not_mailed(case, tuner, away, monkeypatch, ends):
    ask(case, tuner)
    monkeypatch.undo()
    if ends == "answered":
        services.hand_in(round=case.current_round, who="rider")
    elif ends == "withdrawn":
        services.withdraw(case=case)
    else:
        services.save_contact(case=case, rider_name="", rider_email="")
    with later(10):
        mail_lost_questions()
    assert mail.outbox == []
