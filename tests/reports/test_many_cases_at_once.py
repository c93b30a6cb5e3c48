"""Ticked rows: each case goes through the service for one, and the page says what became of each."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake import services
from intake.models import Case, Event
from tests.intake.queued import queued

pytestmark = pytest.mark.django_db
NOTE = {"believe": "Too much oil", "doubt": "the bore", "promised": "nothing", "do_not": "nothing", "rider": "patient"}


@pytest.fixture
def cases():
    return [queued(title=f"Case {n}") for n in range(3)]


def do(tuner, action, cases, **more):
    numbers = [case if isinstance(case, str) else case.number for case in cases]
    return tuner.client.post(reverse("ticked"), {"action": action, "case": numbers, **more})


def outcome(response):
    return [(one.refused, one.words) for one in response.context["done"]]


def test_taking_and_giving_back_says_for_each_what_was_done(tuner, other_tuner, cases):
    services.take_case(case=cases[0], user=tuner.user)
    services.take_case(case=cases[1], user=other_tuner.user)
    done = do(tuner, "take", [*cases, "FB-NOSUCH"])
    assert [refused for refused, _words in outcome(done)] == [False, True, False, True]
    words = done.content.decode()
    assert "You had it already." in words and "You have it now." in words and "There is no such case." in words
    assert "other_tuner holds" in words and words.count("Not done.") == 2
    assert [refused for refused, _ in outcome(do(tuner, "give back", cases))] == [False, True, False]


def test_closing_asks_first_and_then_closes_each(tuner, other_tuner, cases):
    services.take_case(case=cases[1], user=other_tuner.user)
    asked = do(tuner, "close", cases)
    assert "Close 3 cases as" in asked.content.decode() and not Case.objects.filter(state="closed").exists()
    done = do(tuner, "close", cases, sure="1")
    assert [refused for refused, _ in outcome(done)] == [False, True, False]
    closed = Case.objects.filter(state="closed")
    assert set(closed) == {cases[0], cases[2]} and {case.outcome for case in closed} == {"never heard"}
    assert Event.objects.filter(what="Case closed.", who="tuner").count() == 2
    withdrawn = queued(state="withdrawn")
    ((refused, words),) = outcome(do(tuner, "close", [withdrawn], sure="1"))
    assert refused and "withdrawn" in words


def test_one_note_goes_with_every_case_that_is_handed_over(tuner, other_tuner, cases):
    assert "Hand 3 cases" in do(tuner, "hand over", cases).content.decode()
    lacking = do(tuner, "hand over", cases, **NOTE | {"doubt": ""}, to=other_tuner.user.pk)
    assert lacking.status_code == 422 and 'value="Too much oil"' in lacking.content.decode()
    done = do(tuner, "hand over", cases, **NOTE, to=other_tuner.user.pk)
    assert [refused for refused, _ in outcome(done)] == [False, False, False]
    assert {case.holder for case in Case.objects.all()} == {other_tuner.user}
    assert Event.objects.filter(what="Handed over to other_tuner.", detail__note=NOTE).count() == 3


def test_reminders_off_and_on_again_are_the_tuners_word(tuner, cases):
    do(tuner, "no reminders", cases)
    assert Case.objects.filter(no_reminders=True).count() == 3
    assert [words for _, words in outcome(do(tuner, "no reminders", cases[:1]))] == ["That was so already."]
    do(tuner, "reminders", cases[:1])
    assert Case.objects.filter(no_reminders=True).count() == 2
    assert set(Event.objects.values_list("who", "what")) == {
        ("tuner", "No more reminders."), ("tuner", "Reminders wanted again.")}


@pytest.mark.parametrize("fields", [{}, {"action": "take"}, {"action": "explode", "case": "FB-ABCDEF"},
                                    {"action": "close", "case": "\x00", "sure": "1"}])
def test_nothing_ticked_or_nothing_known_does_nothing(tuner, cases, fields):
    assert tuner.client.post(reverse("ticked"), fields).status_code in (200, 302)
    assert not Event.objects.exists()


def test_the_way_back_keeps_the_filters_and_leads_nowhere_else(tuner, cases):
    done = do(tuner, "take", cases, back="whose=nobody")
    assert done.context["back"] == reverse("queue") + "?whose=nobody"
    assert do(tuner, "take", cases, back="//elsewhere.example?state=nonsense").context["back"] == reverse("queue")
    assert tuner.client.get(reverse("ticked")).status_code == 405


def test_every_row_has_a_box_and_a_link_ticks_them_all(tuner, cases):
    page = tuner.client.get(reverse("queue")).content.decode()
    assert page.count('name="case"') == 3 and " checked" not in page
    assert tuner.client.get(reverse("queue"), {"ticked": "all"}).content.decode().count('form="ticked" checked') == 3
