"""Asking the rider, opening a next round, closing with what it really was."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake.models import Case
from tests.letter_cases import approved_letter, drafted_letter, use_fake_engine

pytestmark = pytest.mark.django_db
CLASH = {"between": ["bench.sag.rider_sag_mm", "bench.travel.used_mm"], "words": "Sag is deeper than travel.",
         "ask": "Was the tie read from the seal?"}


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch, disagreements=[CLASH])


@pytest.fixture
def case():
    return drafted_letter().round.case


def address(name, case):
    return reverse(name, args=[case.number])


@pytest.mark.parametrize("about, place, words", [
    ("next-test", "", ""), ("missing-0", "bike", "Mass, ready to ride"),
    ("disagreement-0", "sag", "Was the tie read from the seal?"), ("missing-7", "", ""), ("missing-²", "", ""),
    ("everything", "", ""), ("doubt-0", "", ""),
])
def test_the_question_comes_filled_in(tuner, case, about, place, words):
    form = tuner.client.get(address("ask", case), {"about": about}).context["form"]
    assert (form["place"].value() or "") == place
    assert words in (form["question"].value() or "")


def test_the_next_test_comes_ticked_with_what_each_answer_means(tuner, case):
    page = tuner.client.get(address("ask", case), {"about": "next-test"})
    assert 'name="test" value="oil" checked' in page.content.decode()


def test_a_test_is_asked_for_with_one_tick(tuner, case):
    tuner.client.post(address("ask", case), {"test": ["oil"], "question": "", "place": ""})
    case.refresh_from_db()
    assert (case.state, case.question_path) == ("needs an answer", "oil") and "About" in case.question


@pytest.mark.django_db(transaction=True)
def test_a_question_goes_to_the_rider(tuner, case):
    shown = tuner.client.post(address("ask", case), {"question": "Was the spring out?", "place": "oil"}, follow=True)
    assert f"mailed to {case.rider_email}" in shown.content.decode()
    case.refresh_from_db()
    assert (case.state, case.question, case.question_path) == ("needs an answer", "Was the spring out?", "oil")


@pytest.mark.parametrize("fields, status", [
    ({"question": "  ", "place": "oil"}, 422), ({"question": "Why?", "place": "the moon"}, 422)])
def test_a_question_that_cannot_be_asked_is_kept_and_explained(tuner, case, fields, status):
    shown = tuner.client.post(address("ask", case), fields)
    assert shown.status_code == status and 'class="fault"' in shown.content.decode()
    case.refresh_from_db()
    assert case.state == Case.State.READY


def test_a_question_in_the_wrong_state_keeps_what_was_typed(tuner):
    case = approved_letter().round.case
    shown = tuner.client.post(address("ask", case), {"question": "One more thing?", "place": ""})
    assert shown.status_code == 409 and "One more thing?</textarea>" in shown.content.decode()


def test_the_next_round_opens_once_however_often_it_is_clicked(tuner):
    case = approved_letter().round.case
    for _ in range(2):
        assert tuner.client.post(address("next-round", case)).url.endswith("?round=2")
    assert case.rounds.count() == 2


def test_a_next_round_before_the_letter_is_refused_on_the_page(tuner, case):
    shown = tuner.client.post(address("next-round", case))
    assert shown.status_code == 409 and shown.context["refused"].mend in shown.content.decode()


def test_a_case_is_closed_with_what_it_was_and_shows_it(tuner, case):
    fields = {"outcome": "over-filled", "proof": "measured again", "words": "100 ml too much.", "harm": "no"}
    tuner.client.post(address("close-case", case), fields)
    case.refresh_from_db()
    assert (case.state, case.outcome, case.outcome_proof, case.outcome_words) == (
        "closed", "over-filled", "measured again", "100 ml too much.")
    page = tuner.client.get(address("desk-case", case)).content.decode()
    assert "Too much oil, too little air." in page and "Measured again after the work." in page


def test_nothing_heard_needs_no_proof(tuner, case):
    assert tuner.client.post(address("close-case", case), {"outcome": "never heard", "words": ""}).status_code == 302


@pytest.mark.parametrize("fields, status", [
    ({"outcome": "", "words": "kept words"}, 422), ({"outcome": "over-filled", "words": "kept words"}, 422),
    ({"outcome": "over-filled", "words": "kept words", "harm": "no"}, 409),
    ({"outcome": "gremlins", "proof": "told", "words": "kept words"}, 422)])
def test_an_unfinished_closing_keeps_the_words_and_leaves_the_case_open(tuner, case, fields, status):
    shown = tuner.client.post(address("close-case", case), fields)
    assert shown.status_code == status and "kept words</textarea>" in shown.content.decode()
    case.refresh_from_db()
    assert case.state == Case.State.READY
