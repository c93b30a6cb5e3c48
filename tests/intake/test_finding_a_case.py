"""Cases are found by words, newest first, whatever is typed."""
from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from intake import services
from intake.models import Case, CaseWords
from intake.search import found, plain_words
from tests.intake.queued import queued

pytestmark = pytest.mark.django_db
WORDS = {"complaint": {"words": {"value": "Taucht beim Bremsen tief ein"}}, "notes": "seit dem Ölwechsel",
         "bike": {"description": "grüner Tourer"}}


def ids(typed, **more):
    return found(typed, most=50, **more)


def test_a_case_is_found_by_all_that_is_known_of_it(shop):
    case = queued(title="Red tourer: 100% stiff", shop=shop.shop, shop_job="W-77", rider_name="Zoë Çelik",
                  document=WORDS)
    queued(title="Blue enduro")
    for typed in (case.number, case.number.lower(), case.number[3:], " w-77 ", "TOURER", "100%", "zoe", "celik ZOË",
                  "river", "bremsen", "ÖLWECHSEL", "gruner tour"):
        assert ids(typed) == [case.pk], typed
    assert ids("tourer enduro") == []


def test_only_the_last_word_may_be_a_beginning():
    case = queued(title="Suspension dives")
    assert ids("suspension div") == [case.pk] and ids("susp") == [case.pk]
    assert ids("susp dives") == []


def test_the_newest_come_first_and_a_mark_goes_on_from_there():
    first, second, third = (queued(title="Fork").pk for _ in range(3))
    assert ids("fork") == [third, second, first] and found("fork", most=2) == [third, second]
    assert ids("fork", older_than=third) == [second, first] and ids("fork", newer_than=first) == [third, second]
    assert found("fork", most=1, newer_than=first) == [second]


@pytest.mark.parametrize("typed", ["", "   ", "\x00", '"', "'", "*", "-", "AND", "NOT fork", "fork OR", "NEAR(", "a:b",
                                   "fork\x00\x00", "(", "🏍️", "\\", "%", "words:fork", "^fork", "fork" * 500,
                                   "fork & !x", "'fork':*", "<->", "\ud800".encode("utf-8", "replace").decode()])
def test_odd_input_is_words_or_nothing(typed):
    queued(title="A fork; and nothing else")
    assert isinstance(ids(typed), list)


def test_signs_of_a_search_language_mean_nothing():
    case = queued(title='He said "fork": not a shock')
    assert ids('"fork"') == ids("fork*") == ids("(fork)") == ids("fork & not") == [case.pk]
    assert ids("fork OR enduro") == [] and ids("-fork") == [case.pk]


class WhateverIsTyped(TestCase):
    @given(st.text(max_size=60))
    def test_it_breaks_nothing(self, typed):
        assert found(typed, most=5) == [] and all(word.isalnum() for word in plain_words(typed))


def test_what_services_change_is_found_and_what_was_is_not(rider):
    number, case = rider.case.number, rider.case
    assert ids("rider") == [case.pk]
    services.save_contact(case=case, rider_name="Somebody Else", rider_email="")
    assert ids("somebody") == [case.pk] and ids("rider") == []
    services.save_answers(round=case.current_round, answers={
        "complaint.words": "Clunks over bumps", "fork.springing": "air"})
    services.hand_in(round=case.current_round, who="rider")
    assert ids("clunks") == [case.pk]
    assert Case.objects.get(pk=case.pk).fork_kind == "air"
    services.erase_case(case=case, typed=number)
    assert ids("clunks") == [] and not CaseWords.objects.exists()


def test_the_words_of_a_case_are_bounded():
    case = queued(document={"notes": "word " * 50_000})
    assert len(case.words.words) < 21_000
