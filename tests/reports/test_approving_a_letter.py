"""Approval freezes one version with its PDF and a hash over all it says, and happens once."""
from __future__ import annotations

import pytest

from intake.errors import Refused
from intake.models import Case, Round
from intake.services import open_next_round, withdraw
from reports import services
from reports.models import Draft, Letter
from reports.services import letters
from tests.letter_cases import PDF, approved_letter, drafted_letter, tuner, use_fake_engine

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def approve(letter, version=None, user=None):
    return services.approve(letter=letter, version=version or letter.version, user=user or tuner())


def test_approving_freezes_words_and_pdf_and_tells_the_case():
    letter = approve(drafted_letter())
    assert (letter.approved_version, letter.approved_by, bytes(letter.pdf)) == (1, tuner(), PDF)
    assert letter.content_hash == letters.content_hash(words=services.text_of(letter=letter), draft=letter.draft)
    assert Case.objects.get().state == Case.State.ADVISED


def test_the_hash_covers_words_findings_and_figures():
    letter = drafted_letter()
    draft, words = letter.draft, services.text_of(letter=letter)
    plain = letters.content_hash(words=words, draft=draft)
    assert plain == letters.content_hash(words=words, draft=Draft.objects.get())
    assert plain != letters.content_hash(words=words + " ", draft=draft)
    assert plain != letters.content_hash(words=words, draft=Draft(findings=draft.findings, figures=[]))
    assert plain != letters.content_hash(words=words, draft=Draft(findings={}, figures=draft.figures))


def test_a_doubled_click_approves_once():
    letter = approve(drafted_letter())
    when = letter.approved_at
    assert approve(letter, user=tuner("other-tuner")).approved_at == when
    assert letter.approved_by == tuner()
    assert letter.round.case.events.filter(what__startswith="Letter approved").count() == 1


def test_two_clicks_at_the_same_moment_approve_once(monkeypatch):
    letter = drafted_letter()

    def other_half_first(other, words, name):
        monkeypatch.setattr(letters, "print_letter", lambda *args: PDF)
        approve(Letter.objects.get(pk=letter.pk))
        return b"%PDF the slower one"

    monkeypatch.setattr(letters, "print_letter", other_half_first)
    assert bytes(approve(letter).pdf) == PDF
    assert letter.round.case.events.filter(what__startswith="Letter approved").count() == 1


def test_only_the_newest_version_can_be_approved():
    letter = drafted_letter()
    services.edit_letter(letter=letter, based_on_version=1, text="Newer.", user=tuner())
    with pytest.raises(Refused, match="Version 2 is newer than version 1"):
        approve(letter, version=1)


@pytest.mark.parametrize("meanwhile", [
    lambda letter: services.edit_letter(letter=letter, based_on_version=1, text="Changed.", user=tuner("other-tuner")),
    lambda letter: Round.objects.filter(pk=letter.round_id).update(revision=4),
])
def test_a_change_while_it_is_being_printed_stops_the_approval(monkeypatch, meanwhile):
    letter = drafted_letter()

    def print_slowly(*args):
        meanwhile(Letter.objects.get(pk=letter.pk))
        return PDF

    monkeypatch.setattr(letters, "print_letter", print_slowly)
    with pytest.raises(Refused, match="changed while you were approving"):
        approve(letter)
    assert Letter.objects.get().approved_at is None


def test_a_letter_that_cannot_be_printed_is_not_approved(monkeypatch):
    letter = drafted_letter()
    monkeypatch.setattr(letters, "print_letter", lambda *args: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        approve(letter)
    assert Letter.objects.get().approved_at is None and Case.objects.get().state == Case.State.READY


def test_while_the_rider_owes_an_answer_nothing_is_approved():
    letter = drafted_letter()
    Case.objects.update(state=Case.State.NEEDS_ANSWER)
    with pytest.raises(Refused):
        approve(letter)
    assert Letter.objects.get().approved_at is None


def test_an_approval_can_be_taken_back_while_nothing_was_queued_and_the_letter_is_open_again():
    letter = services.withdraw_approval(letter=approved_letter(), user=tuner())
    assert (letter.approved_at, letter.approved_by, letter.content_hash, letter.pdf) == (None, None, "", None)
    assert Case.objects.get().state == Case.State.READY
    services.edit_letter(letter=letter, based_on_version=1, text="Better.", user=tuner())
    assert approve(letter).approved_version == 2


def test_an_approval_is_not_taken_back_once_the_letter_was_given_to_the_mail():
    letter = approved_letter()
    services.queue_delivery(letter=letter, to="rider@example.org")
    with pytest.raises(Refused, match="already given to the mail"):
        services.withdraw_approval(letter=letter, user=tuner())
    assert Letter.objects.get().approved_at is not None and Case.objects.get().state == Case.State.ADVISED


def test_an_approval_of_an_older_round_is_not_taken_back_behind_the_newer_one():
    letter = approved_letter()
    opened = open_next_round(case=letter.round.case, who="rider")
    Case.objects.filter(pk=opened.case_id).update(state=Case.State.ADVISED)
    with pytest.raises(Refused, match="newer round"):
        services.withdraw_approval(letter=letter, user=tuner())
    assert Case.objects.get().state == Case.State.ADVISED and Letter.objects.get().approved_at is not None


def test_an_approval_stays_once_the_case_has_ended():
    letter = approved_letter()
    withdraw(case=letter.round.case)
    with pytest.raises(Refused, match="only be read"):
        services.withdraw_approval(letter=letter, user=tuner())
    assert Letter.objects.get().approved_at is not None
