"""Answers that change after the draft make the letter stale; a tuner's words are never overwritten."""
from __future__ import annotations

import pytest

from intake.errors import Refused
from reports import services
from reports.models import Draft
from tests.letter_cases import approved_letter, drafted_letter, handed_in, handed_in_again, tuner, use_fake_engine

pytestmark = pytest.mark.django_db
MINE = "## My words\n\nAs I see it.\n"


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def redraft(order):
    handed_in_again(order)
    return services.draft_round(order_id=order.pk, worker="worker-1")


def test_words_nobody_touched_give_way_to_the_new_draft():
    order = handed_in()
    letter = drafted_letter(order)
    new = redraft(order)
    letter.refresh_from_db()
    assert (letter.draft, letter.version) == (new, 2)
    assert [version.author for version in letter.versions.all()] == ["worker", "worker"]
    assert "Revision 4" in services.text_of(letter=letter) and "Revision 3" in letter.versions.first().text
    assert not services.is_stale(letter=letter)


def edited_then_redrafted():
    order = handed_in()
    letter = drafted_letter(order)
    services.edit_letter(letter=letter, based_on_version=1, text=MINE, user=tuner())
    redraft(order)
    letter.refresh_from_db()
    return letter


def test_a_tuners_words_stay_and_the_letter_is_stale():
    letter = edited_then_redrafted()
    assert services.text_of(letter=letter) == MINE and letter.version == 2
    assert services.is_stale(letter=letter) and letter.draft.revision == 3
    assert services.fresh_draft(letter=letter).revision == 4


def test_a_stale_letter_cannot_be_approved():
    letter = edited_then_redrafted()
    with pytest.raises(Refused, match="answers have changed"):
        services.approve(letter=letter, version=2, user=tuner())
    letter.refresh_from_db()
    assert letter.approved_at is None and letter.pdf is None


def test_the_tuner_can_take_the_new_drafts_words_and_the_old_ones_stay_among_the_versions():
    letter = services.use_new_draft(letter=edited_then_redrafted(), user=tuner())
    assert "Revision 4" in services.text_of(letter=letter)
    assert services.text_of(letter=letter, version=2) == MINE
    assert not services.is_stale(letter=letter)
    assert services.approve(letter=letter, version=3, user=tuner()).approved_at


def test_the_tuner_can_keep_the_words_on_the_new_findings():
    letter = services.keep_words(letter=edited_then_redrafted(), user=tuner())
    assert (services.text_of(letter=letter), letter.version, letter.draft.revision) == (MINE, 2, 4)
    assert letter.round.case.events.filter(what__contains="kept after the answers had changed").count() == 1
    assert services.approve(letter=letter, version=2, user=tuner()).approved_at


def test_neither_can_be_chosen_before_the_new_draft_is_there():
    order = handed_in()
    letter = drafted_letter(order)
    handed_in_again(order)
    assert services.is_stale(letter=letter) and services.fresh_draft(letter=letter) is None
    for choice in (services.use_new_draft, services.keep_words):
        with pytest.raises(Refused, match="no draft yet"):
            choice(letter=letter, user=tuner())


def test_a_new_draft_leaves_an_approved_letter_as_it_was():
    order = handed_in()
    letter = approved_letter(order)
    frozen = (letter.version, letter.draft_id, letter.content_hash, bytes(letter.pdf))
    redraft(order)
    letter.refresh_from_db()
    assert (letter.version, letter.draft_id, letter.content_hash, bytes(letter.pdf)) == frozen
    assert Draft.objects.count() == 2 and services.is_stale(letter=letter)


@pytest.mark.parametrize("choice", [services.use_new_draft, services.keep_words])
def test_a_second_choice_from_an_old_page_changes_nothing(choice):
    stale = edited_then_redrafted()
    letter = services.use_new_draft(letter=type(stale).objects.get(), user=tuner())
    services.edit_letter(letter=letter, based_on_version=3, text=MINE, user=tuner("other-tuner"))
    assert choice(letter=stale, user=tuner()).version == 4
    assert services.text_of(letter=letter) == MINE
    assert letter.round.case.events.filter(what__startswith="Words of version").count() == 0
