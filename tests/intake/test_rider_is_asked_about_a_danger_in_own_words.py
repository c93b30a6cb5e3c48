"""Words that can mean a danger are asked back at once, while their rider is still at it, and before any bench test."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake import services

pytestmark = pytest.mark.django_db
HEARD, WORDS = "Your own words can mean a danger", "The front brake feels soft since."
QUESTION = "Is a brake weak or spongy?"


def told(rider, **answers):
    services.save_answers(round=rider.case.current_round, answers={"complaint.words": f"It dives. {WORDS}"} | answers)


def page(rider, name, *more):
    return rider.client.get(reverse(name, args=[rider.case.number, *more])).content.decode()


PAGES = [("section", "bike"), ("bench-test", "push"), ("check",)]


@pytest.mark.parametrize("where", PAGES)
def test_every_page_quotes_the_words_and_leads_to_the_question(rider, where):
    told(rider)
    shown = page(rider, *where)
    assert HEARD in shown and f"<q>{WORDS}</q>" in shown
    assert f'/form/safety/#safety-brake_weak">{QUESTION}</a>' in shown


@pytest.mark.parametrize("where", PAGES)
def test_ordinary_words_are_not_asked_back(rider, where):
    services.save_answers(round=rider.case.current_round, answers={"complaint.words": "It dives under braking."})
    assert HEARD not in page(rider, *where)


@pytest.mark.parametrize("where", PAGES)
def test_a_yes_stops_instead(rider, where):
    told(rider, **{"safety.brake_weak": True})
    shown = page(rider, *where)
    assert HEARD not in shown and "Stop. Do not ride." in shown


def test_a_no_is_put_beside_the_words_once_before_the_hand_in(rider):
    told(rider, **{"safety.brake_weak": False})
    assert HEARD not in page(rider, "section", "bike")
    assert "You answered no. If that is right, leave it." in page(rider, "check")


def test_what_is_handed_in_is_not_asked_any_more(rider):
    told(rider)
    services.hand_in(round=rider.case.current_round, who="rider")
    assert HEARD not in page(rider, "check")
