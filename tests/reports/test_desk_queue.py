"""The queue says in one row what a tuner must know, in a fixed number of queries."""
from __future__ import annotations

import html
import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from intake.models import Case, Round, WorkOrder
from reports.models import Delivery, Letter
from tests.intake.queued import queued
from tests.letter_cases import approved_letter, drafted_letter, handed_in, use_fake_engine
from tests.reports.queue_shown import links, seen_by, stuck, titles

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def show(tuner, **query):
    return tuner.client.get(reverse("queue"), query)


def waiting(title, hours=0.0, **fields):
    return queued(title=title, since=timezone.now() - timedelta(hours=hours), **fields)


def test_stop_signs_stand_first_then_whoever_waits_longest(tuner):
    waiting("young", 1)
    waiting("old", 30)
    waiting("stopped", 0.5, stop=True, state=Case.State.WORKSHOP_ONLY)
    response = show(tuner)
    assert titles(response) == ["stopped", "old", "young"]
    assert "Stop: do not ride" in response.content.decode()


def test_a_row_names_the_leading_cause_in_words_and_per_cent(tuner):
    case = drafted_letter(handed_in(shop_job="")).round.case
    (row,) = seen_by(tuner.user)
    assert row.number == case.number
    assert (row.lead.title, row.lead.odds, row.lead.length) == ("Too much oil", "about 9 in 10", 91)
    assert (row.second, row.missing, row.disagreements, row.round) == ("Coil bind", 1, 0, 1)
    assert "Too much oil" in show(tuner).content.decode()


def test_a_row_that_cannot_tell_yet_says_so_and_names_no_cause(tuner, monkeypatch):
    verdict = {"kind": "cannot tell yet", "cause": None, "words": "Cannot tell yet.", "why_open": []}
    use_fake_engine(monkeypatch, verdict=verdict)
    drafted_letter()
    (row,) = seen_by(tuner.user)
    assert row.lead is None and row.words == "Cannot tell yet."


def test_a_stopped_row_shows_no_advice(tuner):
    marks = {"stroke_mm": 140.0, "found": [], "measured": [], "advised": [{"name": "rider sag", "at_mm": 42.6}]}
    summary = {"kind": "stop", "verdict": "Stop: oil on the brake.", "marks": marks, "next_test": "A ride"}
    waiting("stopped", stop=True, summary=summary)
    waiting("fine", summary=summary)
    stopped, fine = seen_by(tuner.user)
    assert "rider sag" in fine.ruler and fine.next_test == "A ride"
    assert "rider sag" not in stopped.ruler and stopped.next_test == ""


def test_the_age_says_with_whom_the_case_is(tuner):
    waiting("ours", 5)
    waiting("theirs", 72, state=Case.State.NEEDS_ANSWER)
    (ours,) = seen_by(tuner.user)
    (theirs,) = seen_by(tuner.user, state="needs an answer")
    assert ours.clock == "5 h of 24 h with us"
    assert theirs.clock == "3 days with the rider"


def test_parked_work_shows_its_reason_and_can_be_tried_again(tuner):
    order = handed_in()
    WorkOrder.objects.update(state=WorkOrder.State.PARKED, attempts=3, reason="The right leg has no stroke.")
    page = show(tuner).content.decode()
    assert "The right leg has no stroke." in page and "Being drafted" not in page
    tuner.client.post(reverse("work-again", args=[order.round.case.number]))
    order.refresh_from_db()
    assert (order.state, order.attempts) == (WorkOrder.State.WAITING, 0)
    assert "Being drafted" in show(tuner).content.decode()


@pytest.mark.parametrize("state, words", [
    (Delivery.State.FAILED, "letter not delivered"), (Delivery.State.UNKNOWN, "unclear whether the letter arrived"),
    (Delivery.State.SENT, ""), (None, "approved, but not sent yet"),
])
def test_a_letter_that_is_stuck_shows_in_its_row(tuner, state, words):
    letter = approved_letter()
    if state:
        Delivery.objects.create(letter=letter, to="a@example.org", message_id="<a@b>", content_hash="", state=state)
    (row,) = seen_by(tuner.user, state="advised")
    assert row.mail == words


def test_an_earlier_trouble_is_not_hidden_by_a_later_success(tuner):
    letter = approved_letter()
    for at, state in enumerate((Delivery.State.FAILED, Delivery.State.SENT)):
        Delivery.objects.create(letter=letter, to=f"{at}@example.org", message_id=f"<{at}@b>", content_hash="",
                                state=state)
    (row,) = seen_by(tuner.user, state="advised")
    assert row.mail == "letter not delivered"


def test_only_the_newest_rounds_letter_counts(tuner):
    letter = approved_letter()
    Round.objects.create(case=letter.round.case, number=2)
    (row,) = seen_by(tuner.user, state="advised")
    assert (row.round, row.mail) == (2, "")
    assert Letter.objects.count() == 1


def full_desk(tuner):
    """Make a queue of two pages, with parked work, stuck mail of both kinds, and views of the tuner's own."""
    for number in range(60):
        waiting(f"case {number}", number, language="de")
    WorkOrder.objects.filter(pk=handed_in().pk).update(state=WorkOrder.State.PARKED, reason="no")
    for state in (Delivery.State.FAILED, Delivery.State.UNKNOWN):
        Delivery.objects.create(letter=approved_letter(), to="a@example.org", message_id=f"<{state}@b>",
                                content_hash="", state=state)
    asked = waiting("asked", state=Case.State.NEEDS_ANSWER, asked={"mail": {}}, rider_email="a@example.org")
    Case.objects.filter(pk=asked.pk).update(state_since=timezone.now() - timedelta(hours=1))
    tuner.user.saved_views.create(name="Germans", query={"language": "de"})


@pytest.mark.parametrize("look, queries", [
    ("first page", 6), ("next page", 5), ("filter", 5), ("search", 6), ("search in vain", 5)])
def test_no_look_at_the_queue_takes_more_than_six_queries(tuner, django_assert_num_queries, look, queries):
    full_desk(tuner)
    first = show(tuner)
    assert len(stuck(first)) == 3 and "language=de" in links(first, "Your views")
    address = {"first page": "", "next page": link_to(first, "Further down"), "filter": "?language=de",
               "search": "?q=case", "search in vain": "?q=zzz"}[look]
    with django_assert_num_queries(queries):
        page = tuner.client.get(reverse("queue") + address)
    assert bool(titles(page)) == (look != "search in vain")


def test_further_down_the_queue_nothing_is_missed_or_shown_twice(tuner):
    for number in range(60):
        waiting(f"case {number}", 100 - number)
    first = show(tuner)
    second = tuner.client.get(reverse("queue") + link_to(first, "Further down"))
    assert titles(first) + titles(second) == [f"case {number}" for number in range(60)]
    assert "Further down" not in second.content.decode()
    back = tuner.client.get(reverse("queue") + link_to(second, "Further up"))
    assert titles(back) == titles(first) and "Further up" not in back.content.decode()


def link_to(page, words):
    return html.unescape(re.search(rf'href="(\?[^"]*)"[^>]*>{words}', page.content.decode())[1])


def test_a_search_finds_a_case_by_number_and_keeps_what_was_typed(tuner):
    case = waiting("A bike that dives", state=Case.State.CLOSED)
    waiting("Another")
    response = show(tuner, q=case.number.lower())
    assert titles(response) == ["A bike that dives"]
    assert f'value="{case.number.lower()}"' in response.content.decode()


def test_what_people_typed_is_text_and_nothing_more(tuner):
    waiting("<script>alert(1)</script>", rider_name="<b>R</b>")
    page = show(tuner, q="<script>").content.decode()
    assert "<script>alert" not in page and "&lt;script&gt;alert(1)" in page


@pytest.mark.parametrize("query, mend", [
    ({"state": "lost"}, "Pick a state from the list."),
    ({"after": "nowhere"}, "Go back to the beginning of the queue.")])
def test_an_address_the_queue_never_gave_is_explained(tuner, query, mend):
    response = show(tuner, **query)
    assert response.status_code == 422 and mend in response.content.decode()
