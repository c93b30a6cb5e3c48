"""A case is one thing however it is typed: one address that its phone keeps, one count of its first questions."""
from __future__ import annotations

import pytest
from django.urls import reverse

from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def rider() -> Rider:
    return Rider()


def test_the_first_questions_are_counted_as_eight_wherever_they_are_counted(rider):
    words = words_of(rider.read("case-page"))
    assert "0 of 8 first answers" in words and "Eight short questions 0 of 8" in words
    rider.save("first", complaint__words="It stops hard.", complaint__since="always", then="list")
    words = words_of(rider.read("case-page"))
    count = words.split(" first answers")[0].rsplit(" ", 3)[-3:]
    assert f"Eight short questions {' '.join(count)}" in words
    assert f"Saved: Eight short questions. {' '.join(count)} answered." in words


@pytest.mark.parametrize(("name", "more"), [("case-page", []), ("section", ["complaint"]), ("bench-test", ["travel"])])
def test_an_address_typed_in_small_letters_leads_to_the_one_the_phone_keeps(rider, name, more):
    small = reverse(name, args=[rider.number.lower(), *more])
    assert small != rider.url(name, *more)
    assert rider.client.get(small).url == rider.url(name, *more)


def test_only_a_page_that_was_saved_tells_the_phone_to_let_go_of_it(rider):
    stale = rider.client
    page = rider.client.post(rider.url("section", "complaint"), {"complaint.words": "It stops hard."}, follow=True)
    assert f'data-saved="{rider.url("section", "complaint")}"' in page.content.decode()
    rider.answer_first()
    rider.client.post(rider.url("hand-in"))
    refused = stale.post(rider.url("section", "complaint"), {"complaint.words": "Something else."})
    words = refused.content.decode()
    assert refused.status_code == 409 and "Something else." in words
    assert 'data-unsaved="1"' in words
    assert f'data-saved="{rider.url("section", "complaint")}"' not in words
