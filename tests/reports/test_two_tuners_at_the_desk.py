"""Two tuners at one desk: pages say who has a case; writing into a colleague's asks first and loses nothing."""
from __future__ import annotations

import html
import re
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from intake import services
from intake.models import Case
from tests.intake.queued import queued
from tests.reports.queue_shown import seen_by

pytestmark = pytest.mark.django_db
NOTE = {"believe": "Too much oil", "doubt": "the bore", "promised": "a letter by Friday", "do_not": "drain it again",
        "rider": "patient"}
QUESTION = "How high is the oil?\n<b>Measured</b> from the top?"


@pytest.fixture
def case():
    return queued(title="A bike that dives")


@pytest.fixture
def theirs(case, other_tuner):
    services.take_case(case=case, user=other_tuner.user)
    return case


def press(who, name, case, **fields):
    return who.client.post(reverse(name, args=[case.number]), fields, follow=True)


def text(response):
    return response.content.decode()


def holder(case):
    case.refresh_from_db()
    found = services.holder_of(case)
    return found and found.get_username()


def test_take_and_give_back_by_buttons_on_the_case(tuner, case):
    assert "Nobody has this case." in text(tuner.client.get(reverse("desk-case", args=[case.number])))
    assert "You have this case" in text(press(tuner, "take-case", case)) and holder(case) == "tuner"
    assert "nobody" in text(press(tuner, "give-back", case)) and holder(case) is None


def test_a_held_case_can_be_read_and_row_and_page_say_who_has_it(tuner, theirs):
    assert "other_tuner has this case" in text(tuner.client.get(reverse("desk-case", args=[theirs.number])))
    (row,) = seen_by(tuner.user)
    assert (row.holder, row.mine) == ("other_tuner", False)
    assert "other_tuner has it" in text(tuner.client.get(reverse("queue")))
    assert holder(theirs) == "other_tuner"


def test_writing_into_a_held_case_asks_first_and_keeps_what_was_typed(tuner, theirs):
    asked = press(tuner, "ask", theirs, question=QUESTION, place="push")
    assert asked.status_code == 409 and "Take it over and go on" in text(asked)
    assert Case.objects.get().question == "" and holder(theirs) == "other_tuner"
    carried = {name: html.unescape(value) for name, value in
               re.findall(r'<input type="hidden" name="([a-z_]+)" value="([^"]*)">', text(asked))}
    carried.pop("next", None)
    assert (carried["question"], carried["place"]) == (QUESTION, "push")
    done = press(tuner, "ask", theirs, **carried, take_over="1")
    assert done.status_code == 200 and Case.objects.get().question == QUESTION
    assert [event.what for event in theirs.events.all()][-2:] == ["Taken over from other_tuner.", "Rider asked."]


def test_a_file_cannot_be_carried_along_and_the_page_says_so(tuner, theirs):
    asked = tuner.client.post(reverse("travel-logs", args=[theirs.number]), {
        "file": SimpleUploadedFile("log.csv", b"1,2"), "note": "my words"})
    assert asked.status_code == 409 and "could not be kept" in text(asked) and "take_over" not in text(asked)


def test_taking_over_by_its_button_is_asked_as_well(tuner, theirs):
    assert press(tuner, "take-case", theirs).status_code == 409 and holder(theirs) == "other_tuner"
    press(tuner, "take-case", theirs, take_over="1")
    assert holder(theirs) == "tuner"


def test_writing_takes_a_free_case_and_one_whose_hold_has_run_out(tuner, theirs):
    Case.objects.update(held_until=timezone.now() - timedelta(minutes=1))
    assert "last with other_tuner" in text(tuner.client.get(reverse("queue")))
    assert press(tuner, "close-case", theirs, outcome="nonsense").status_code == 422
    assert holder(theirs) == "tuner"


def test_reading_ones_own_case_keeps_it(tuner, case):
    services.take_case(case=case, user=tuner.user)
    soon = timezone.now() + timedelta(minutes=3)
    Case.objects.update(held_until=soon)
    tuner.client.get(reverse("desk-case", args=[case.number]))
    assert Case.objects.get().held_until > soon + timedelta(minutes=20)


def test_a_case_is_handed_over_with_a_note_that_the_colleague_finds_on_it(tuner, other_tuner, case):
    page = reverse("hand-over", args=[case.number])
    refused = tuner.client.post(page, {**NOTE, "to": other_tuner.user.pk, "doubt": ""})
    assert refused.status_code == 409 and 'value="Too much oil"' in text(refused) and holder(case) is None
    assert tuner.client.post(page, {**NOTE, "to": ""}).status_code == 409
    assert tuner.client.post(page, {**NOTE, "to": other_tuner.user.pk}).url == reverse("queue")
    shown = text(other_tuner.client.get(reverse("desk-case", args=[case.number])))
    assert "Note from tuner to other_tuner" in shown and all(words in shown for words in NOTE.values())


def test_take_next_takes_the_first_that_nobody_holds(tuner, other_tuner):
    ago = timezone.now() - timedelta(hours=9)
    first, second = queued(since=ago), queued()
    assert tuner.client.post(reverse("take-next")).url == reverse("desk-case", args=[first.number])
    assert other_tuner.client.post(reverse("take-next")).url == reverse("desk-case", args=[second.number])
    assert "Nothing waits for you" in text(tuner.client.post(reverse("take-next"), follow=True))
    assert tuner.client.get(reverse("take-next")).status_code == 405
