"""The rider reads the approved letter on the page and as PDF; before approval there is nothing to read."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake.links import SESSION_KEY
from intake.models import Case, Round
from intake.services import case_for_token, new_link
from reports import services
from reports.models import Letter
from tests.letter_cases import PDF, approved_letter, drafted_letter, handed_in, tuner, use_fake_engine

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def enter(client, case):
    """Give the browser the session that opening the private link gives."""
    assert case_for_token(token=new_link(case=case)) == case
    session = client.session
    session[SESSION_KEY] = {case.number: case.links.get().pk}
    session.save()


def page(client, case, name="letter", **query):
    return client.get(reverse(name, args=[case.number]), query)


def test_the_rider_reads_words_figures_and_their_tables(client):
    letter = approved_letter()
    case = letter.round.case
    enter(client, case)
    shown = page(client, case)
    text = shown.content.decode()
    assert shown.status_code == 200 and "no-store" in shown["Cache-Control"]
    assert "<strong>too much oil</strong>" in text
    assert '<svg role="img" class="drawn">' in text
    assert '<th scope="row">Usable stroke</th><td>80 mm</td>' in text
    assert "Stop: do not ride" not in text


def test_the_pdf_is_the_one_that_was_approved(client):
    letter = approved_letter()
    enter(client, letter.round.case)
    shown = page(client, letter.round.case, "letter-pdf")
    assert (shown.content, shown["Content-Type"]) == (PDF, "application/pdf")
    assert f'{letter.round.case.number}-round-1.pdf' in shown["Content-Disposition"]


def test_before_approval_there_is_no_letter_and_the_page_says_why(client):
    letter = drafted_letter()
    case = letter.round.case
    enter(client, case)
    shown = page(client, case)
    assert shown.status_code == 404
    assert "A tuner reads every letter" in shown.content.decode() and "too much oil" not in shown.content.decode()
    assert page(client, case, "letter-pdf").status_code == 404


def test_the_page_shows_the_approved_version_and_not_a_newer_one(client):
    letter = approved_letter()
    letter.versions.create(number=2, text="Slipped in later.", author="tuner")
    Letter.objects.update(version=2)
    enter(client, letter.round.case)
    assert "Slipped in later" not in page(client, letter.round.case).content.decode()


@pytest.mark.parametrize("name", ["letter", "letter-pdf"])
def test_somebody_elses_letter_does_not_exist(client, name):
    mine, theirs = approved_letter().round.case, approved_letter().round.case
    assert page(client, theirs, name).status_code == 404
    enter(client, mine)
    assert page(client, mine, name).status_code == 200
    assert page(client, theirs, name).status_code == 404
    assert client.get(reverse(name, args=["FB-NOSUCH"])).status_code == 404


def test_stop_signs_stand_on_the_page_whatever_the_words_say(client, monkeypatch):
    use_fake_engine(monkeypatch, text="Ride on.", stop_riding=True, stop_reasons=[
        {"name": "crack", "end": "front", "reason": "The lower clamp may be cracked.", "do": "Do not ride it."}])
    letter = approved_letter()
    enter(client, letter.round.case)
    text = page(client, letter.round.case).content.decode()
    assert "Stop: do not ride" in text and "The lower clamp may be cracked." in text
    assert "drawn" not in text, "figures hold advice"


@pytest.mark.parametrize("name", ["letter", "letter-pdf"])
def test_a_letter_that_is_older_than_a_stop_sign_is_not_shown_any_more(client, name):
    letter = approved_letter()
    Case.objects.update(stop=True)
    enter(client, letter.round.case)
    text = page(client, letter.round.case, name).content.decode()
    assert "Stop: do not ride" in text and "Do not follow that letter any more" in text
    assert "too much oil" not in text and "drawn" not in text


def test_the_page_round_the_letter_speaks_the_readers_language_and_says_which_one_the_letter_has(client):
    letter = approved_letter()
    enter(client, letter.round.case)
    client.cookies["django_language"] = "de"
    text = page(client, letter.round.case).content.decode()
    assert "<h1>Dein Brief</h1>" in text and "Als PDF öffnen" in text
    assert '<article class="sheet" lang="en">' in text


def test_html_in_a_letter_is_shown_and_not_run(client):
    letter = drafted_letter()
    services.edit_letter(letter=letter, based_on_version=1, text="<script>alert(1)</script>", user=tuner())
    services.approve(letter=letter, version=2, user=tuner())
    enter(client, letter.round.case)
    text = page(client, letter.round.case).content.decode()
    assert "<script>alert" not in text and "&lt;script&gt;" in text


def test_an_older_rounds_letter_can_still_be_read(client):
    order = handed_in()
    letter = approved_letter(order)
    case = letter.round.case
    newer = Round.objects.create(case=case, number=2, revision=3, handed_in_at=letter.round.handed_in_at)
    Letter.objects.create(round=newer, draft=letter.draft)
    Case.objects.update(state=Case.State.COLLECTING)
    enter(client, case)
    assert page(client, case).status_code == 200, "the newest approved one is shown while round 2 has none"
    assert page(client, case, round="1").status_code == 200
    for strange in ("2", "x", "-1", "99999999999999999999"):
        assert page(client, case, round=strange).status_code == 404
