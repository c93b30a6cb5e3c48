"""A letter or question whose mail is stuck has left the queue with its case, and is named on top of it."""
from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from intake import services as cases
from intake.models import Case
from reports import services
from reports.models import Delivery, Letter
from tests.letter_cases import approved_letter, drafted_letter, use_fake_engine
from tests.reports.queue_shown import stuck

pytestmark = pytest.mark.django_db
S = Delivery.State


@pytest.fixture(autouse=True)
def fake_engine(monkeypatch: Any) -> None:
    use_fake_engine(monkeypatch)


def named(tuner: Any, minutes: float = 0, **query: str) -> list[tuple[str, str]]:
    with time_machine.travel(timezone.now() + timedelta(minutes=minutes)):
        page = tuner.client.get(reverse("queue"), query)
    return stuck(page)


def sent(letter: Letter, state: str, to: str = "a@example.org") -> None:
    Delivery.objects.create(letter=letter, to=to, message_id=f"<{to}>", content_hash="", state=state)


def test_a_letter_that_was_approved_and_forgotten_is_named_after_a_while(tuner):
    letter = approved_letter()
    assert named(tuner) == []
    assert named(tuner, 11) == [(letter.round.case.number, "letter approved, but not sent")]
    sent(letter, S.TAKEN_BACK)
    assert named(tuner, 11) == [(letter.round.case.number, "letter approved, but not sent")]


@pytest.mark.parametrize("states, minutes, words", [
    ([S.FAILED], 0, "letter not delivered"), ([S.UNKNOWN], 0, "unclear whether the letter arrived"),
    ([S.SENT], 60, ""), ([S.FAILED, S.SENT], 60, ""), ([S.SENT, S.UNKNOWN], 0, "unclear whether the letter arrived"),
    ([S.QUEUED], 29, ""), ([S.QUEUED], 31, "the letter still waits to go out"), ([S.SENDING], 60, "")])
def test_what_became_of_its_mails_is_said(tuner, states, minutes, words):
    letter = approved_letter()
    for place, state in enumerate(states):
        sent(letter, state, f"{place}@example.org")
    assert [said for _, said in named(tuner, minutes)] == ([words] if words else [])


@pytest.mark.parametrize("ends", [
    lambda case: Case.objects.filter(pk=case.pk).update(rider_email=""),  # handed over by hand, or read on the page
    lambda case: cases.open_next_round(case=case, who="rider"), lambda case: cases.withdraw(case=case)])
def test_nobody_is_told_of_a_letter_that_nobody_waits_for(tuner, ends):
    letter = approved_letter()
    sent(letter, S.FAILED)
    assert named(tuner)
    ends(Case.objects.get())
    assert named(tuner, 60) == []


def test_a_letter_that_another_has_replaced_is_not_named(tuner):
    letter = approved_letter()
    sent(letter, S.FAILED)
    new = services.replace_letter(letter=letter, user=tuner.user)
    sent(services.approve(letter=new, version=new.version, user=tuner.user), S.SENT, "b@example.org")
    assert named(tuner, 60) == []


def test_a_question_that_was_not_mailed_is_named(tuner):
    case = drafted_letter().round.case
    cases.ask_rider(case=case, user=tuner.user, question="Which oil?")  # no mail leaves inside of a test's transaction
    assert named(tuner) == []
    assert named(tuner, 6) == [(case.number, "the question has not been mailed")]


def test_a_queue_that_is_narrowed_shows_what_was_asked_for_alone(tuner):
    sent(approved_letter(), S.FAILED)
    assert named(tuner) and not named(tuner, state="advised") and not named(tuner, q="bike")


def test_what_became_of_a_letter_counts_only_until_the_one_that_replaces_it_is_approved(tuner):
    letter = approved_letter()
    sent(letter, S.UNKNOWN)
    new = Letter.objects.create(round=letter.round, draft=letter.draft, replaces=letter)
    assert [said for _, said in named(tuner)] == ["unclear whether the letter arrived"]
    Letter.objects.filter(pk=new.pk).update(approved_at=timezone.now(), approved_version=letter.approved_version,
                                            content_hash=letter.content_hash)
    sent(new, S.SENT, "b@example.org")
    assert named(tuner) == []
