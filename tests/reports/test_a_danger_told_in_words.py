"""A danger that only the rider's own words tell is never passed over in silence: queue, case page, approval."""
from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from intake.errors import Refused
from intake.models import Event, Round
from reports import services
from tests.intake.queued import queued
from tests.letter_cases import drafted_letter, handed_in, use_fake_engine
from tests.letter_cases import tuner as a_tuner
from tests.reports.queue_shown import titles

pytestmark = pytest.mark.django_db
SAID = {"schema": 1, "complaint": {"words": "Dives. The front brake feels soft since the service."}}


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def spoken_case(document=SAID):
    order = handed_in()
    Round.objects.filter(pk=order.round_id).update(document=document)
    return drafted_letter(order)


def page(tuner, letter):
    return tuner.client.get(reverse("desk-case", args=[letter.round.case.number])).content.decode()


def press_approve(tuner, letter, **typed):
    return tuner.client.post(reverse("letter-approve", args=[letter.round.case.number]),
                             {"version": letter.version, **typed})


def test_the_queue_row_names_the_danger(tuner):
    spoken_case()
    shown = tuner.client.get(reverse("queue")).content.decode()
    assert "words speak of: weak brake" in shown and "Words of danger" in shown


def test_its_case_is_due_within_the_hour_and_overtakes_what_is_not_overdue(tuner):
    queued(title="Older", since=timezone.now() - timedelta(hours=9))
    case = spoken_case().round.case
    assert titles(tuner.client.get(reverse("queue")))[-1] == "Older"
    assert case.due_at - case.turn_since == timedelta(hours=1)


def test_the_case_page_shows_the_sentence_and_asks_the_safety_question_again(tuner):
    letter = spoken_case()
    shown = page(tuner, letter)
    assert "The front brake feels soft since the service." in shown and "about=spoken-0" in shown
    form = tuner.client.get(reverse("ask", args=[letter.round.case.number]), {"about": "spoken-0"}).context["form"]
    assert form.initial["place"] == "safety" and "feels soft" in form.initial["question"]


def test_approval_waits_until_the_words_were_read(tuner):
    letter = spoken_case()
    refused = press_approve(tuner, letter)
    assert refused.status_code == 409 and "words speak of: weak brake" in refused.content.decode()
    assert press_approve(tuner, letter, read="yes").status_code == 302
    letter.refresh_from_db()
    assert letter.approved_at
    assert Event.objects.get(what__startswith="Letter approved").detail["rider_speaks_of"] == "weak brake"


def test_no_program_approves_past_the_words_either():
    letter = spoken_case()
    with pytest.raises(Refused, match="weak brake"):
        services.approve(letter=letter, version=letter.version, user=a_tuner())


def test_ordinary_words_ask_for_nothing(tuner):
    letter = spoken_case({"schema": 1, "complaint": {"words": "It dives under the front brake."}})
    assert "words speak of" not in page(tuner, letter)
    assert press_approve(tuner, letter).status_code == 302


def test_a_stop_letter_is_not_held_up_by_words(monkeypatch):
    use_fake_engine(monkeypatch, stop_riding=True)
    letter = spoken_case()
    assert services.approve(letter=letter, version=letter.version, user=a_tuner()).approved_at
