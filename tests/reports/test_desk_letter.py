"""The letter on the desk: nothing typed is lost, nothing goes out twice, and two tuners cannot overwrite each other."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake import services as cases
from intake.models import Round
from reports import services
from reports.models import Delivery, Letter
from tests.letter_cases import (
    WORDS,
    approved_letter,
    drafted_letter,
    handed_in,
    handed_in_again,
    use_fake_engine,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def address(name, letter, *more):
    return reverse(name, args=[letter.round.case.number, *more])


def press(tuner, name, letter, *more, **fields):
    return tuner.client.post(address(name, letter, *more), fields)


def save(tuner, letter, text, based_on):
    return press(tuner, "letter-edit", letter, text=text, based_on=based_on)


def save_first(tuner, other, letter, text):
    """Let the other tuner save version 2 while ``tuner`` is writing, who then takes the case over to go on."""
    save(other, letter, text, 1)
    cases.take_case(case=letter.round.case, user=tuner.user, over=True)


def test_a_preview_shows_the_words_and_saves_nothing(tuner):
    letter = drafted_letter()
    shown = press(tuner, "letter-preview", letter, text="## New\n\n**bold** <b>not</b>", based_on=1)
    page = shown.content.decode()
    assert "<h2>New</h2>" in page and "<strong>bold</strong> &lt;b&gt;not" in page
    assert "## New" in page and 'name="based_on" value="1"' in page
    assert letter.versions.count() == 1
    assert f'<form method="post" action="{address("letter-edit", letter)}"' in page, "saving after a preview must save"


def test_saving_adds_a_version_and_comes_back_to_the_case(tuner):
    letter = drafted_letter()
    assert save(tuner, letter, "My words", 1).url.startswith(address("desk-case", letter))
    letter.refresh_from_db()
    assert (letter.version, services.text_of(letter=letter)) == (2, "My words\n")


def test_the_second_of_two_tuners_sees_both_texts_and_keeps_what_was_typed(tuner, other_tuner):
    letter = drafted_letter()
    save_first(tuner, other_tuner, letter, "Draw off 90 ml.")
    refused = save(tuner, letter, "Draw off 110 ml from each leg.", 1)
    page = refused.content.decode()
    assert refused.status_code == 409
    assert "other_tuner saved version 2" in page
    assert "<del>90</del>" in page and "<ins>110</ins>" in page
    assert "Draw off 110 ml from each leg.</textarea>" in page
    assert services.text_of(letter=letter, version=2) == "Draw off 90 ml.\n" and letter.versions.count() == 2


def test_after_a_conflict_a_tuner_can_save_on_top_knowingly(tuner, other_tuner):
    letter = drafted_letter()
    save_first(tuner, other_tuner, letter, "Theirs")
    shown = save(tuner, letter, "Mine", 1)
    save(tuner, letter, "Mine", shown.context["based_on"])
    assert [version.text for version in letter.versions.all()][1:] == ["Theirs\n", "Mine\n"]


def test_a_preview_during_a_conflict_still_tells_of_it(tuner, other_tuner):
    letter = drafted_letter()
    save_first(tuner, other_tuner, letter, "Theirs")
    shown = press(tuner, "letter-preview", letter, text="Mine", based_on=1)
    assert shown.context["conflict"]["author"] == "other_tuner"


def test_an_approved_letter_is_not_changed_and_the_words_are_kept(tuner):
    letter = approved_letter()
    refused = save(tuner, letter, "Too late", 1)
    page = refused.content.decode()
    assert refused.status_code == 409 and "Too late</textarea>" in page and "approved" in page
    assert letter.versions.count() == 1


def test_an_empty_letter_is_refused_with_what_to_do(tuner):
    letter = drafted_letter()
    refused = save(tuner, letter, "  \r\n", 1)
    assert refused.status_code == 409 and "The letter is empty." in refused.content.decode()


@pytest.mark.parametrize("based_on", ["", "x", "-1", "²", "99999999"])
def test_a_form_that_names_no_version_is_not_saved(tuner, based_on):
    letter = drafted_letter()
    assert save(tuner, letter, "Words", based_on).status_code == 404
    assert letter.versions.count() == 1


def test_words_for_an_older_round_never_land_in_the_newer_rounds_letter(tuner):
    letter = drafted_letter()
    newer = Round.objects.create(case=letter.round.case, number=2)
    other = Letter.objects.create(round=newer, draft=letter.draft)
    other.versions.create(number=1, text="Round 2", author="worker")
    refused = press(tuner, "letter-edit", letter, text="For round 1", based_on=1, round=1)
    assert refused.status_code == 409 and "For round 1</textarea>" in refused.content.decode()
    assert services.text_of(letter=other) == "Round 2"
    assert "Approve version" not in tuner.client.get(address("desk-case", letter), {"round": 1}).content.decode()


def test_versions_are_compared_side_by_side(tuner):
    letter = drafted_letter()
    save(tuner, letter, WORDS.replace("100 ml", "95 ml <b>"), 1)
    page = tuner.client.get(address("letter-versions", letter), {"from": 1, "to": 2}).content.decode()
    assert "<del>100</del>" in page and "<ins>95</ins>" in page and "<ins> &lt;b&gt;</ins>" in page
    assert tuner.client.get(address("letter-versions", letter), {"to": 9}).status_code == 404


def test_approving_an_older_version_than_the_newest_is_refused_on_the_page(tuner, other_tuner):
    letter = drafted_letter()
    save_first(tuner, other_tuner, letter, "Newer")
    refused = press(tuner, "letter-approve", letter, version=1)
    assert refused.status_code == 409 and "Read the newest version" in refused.content.decode()
    letter.refresh_from_db()
    assert letter.approved_at is None


def test_a_doubled_click_on_approve_approves_once(tuner):
    letter = drafted_letter()
    for _ in range(2):
        assert press(tuner, "letter-approve", letter, version=1).status_code == 302
    assert letter.round.case.events.filter(what__startswith="Letter approved").count() == 1


def test_a_doubled_click_on_send_sends_once(tuner):
    letter = approved_letter()
    for _ in range(2):
        assert press(tuner, "letter-send", letter, to="rider@example.org").status_code == 302
    assert Delivery.objects.count() == 1


def test_the_address_is_shown_before_sending_and_kept_where_it_is_wrong(tuner):
    letter = approved_letter()
    assert 'value="rider@example.org"' in tuner.client.get(address("desk-case", letter)).content.decode()
    refused = press(tuner, "letter-send", letter, to="rider at example")
    page = refused.content.decode()
    assert refused.status_code == 409 and 'value="rider at example"' in page and "not a complete e-mail" in page
    assert not Delivery.objects.exists()


def test_an_unapproved_letter_cannot_be_sent(tuner):
    letter = drafted_letter()
    assert 'id="to"' not in tuner.client.get(address("desk-case", letter)).content.decode()
    assert press(tuner, "letter-send", letter, to="rider@example.org").status_code == 409
    assert not Delivery.objects.exists()


def test_an_approval_can_be_taken_back_until_the_mail_has_it(tuner):
    letter = approved_letter()
    press(tuner, "letter-unapprove", letter)
    letter.refresh_from_db()
    assert letter.approved_at is None
    press(tuner, "letter-approve", letter, version=1)
    press(tuner, "letter-send", letter, to="rider@example.org")
    assert press(tuner, "letter-unapprove", letter).status_code == 409
    letter.refresh_from_db()
    assert letter.approved_at is not None


def delivery(letter, state):
    return Delivery.objects.create(letter=letter, to="rider@example.org", message_id="<a@b>", state=state,
                                   content_hash=letter.content_hash, reason="No such mailbox.")


def test_a_failed_delivery_says_why_and_is_sent_again(tuner):
    letter = approved_letter()
    row = delivery(letter, Delivery.State.FAILED)
    assert "No such mailbox." in tuner.client.get(address("desk-case", letter)).content.decode()
    press(tuner, "delivery-again", letter, row.pk)
    row.refresh_from_db()
    assert row.state == Delivery.State.QUEUED


@pytest.mark.parametrize("button, state", [("delivery-arrived", "sent"), ("delivery-again", "queued")])
def test_a_person_settles_what_nobody_knows(tuner, button, state):
    letter = approved_letter()
    row = delivery(letter, Delivery.State.UNKNOWN)
    press(tuner, button, letter, row.pk)
    row.refresh_from_db()
    assert row.state == state
    assert press(tuner, button, letter, row.pk).status_code == 409


def test_a_delivery_of_another_case_does_not_exist_here(tuner):
    row = delivery(approved_letter(), Delivery.State.UNKNOWN)
    other = drafted_letter(handed_in())
    assert press(tuner, "delivery-arrived", other, row.pk).status_code == 404
    row.refresh_from_db()
    assert row.state == Delivery.State.UNKNOWN


@pytest.mark.parametrize("button, text", [("letter-new-draft", "Revision 4."), ("letter-keep-words", "My words")])
def test_after_changed_answers_the_tuner_chooses_the_words(tuner, button, text):
    order = handed_in()
    letter = drafted_letter(order)
    save(tuner, letter, "My words", 1)
    handed_in_again(order)
    assert "Out of date" in tuner.client.get(address("desk-case", letter)).content.decode()
    assert press(tuner, "letter-approve", letter, version=2).status_code == 409
    services.draft_round(order_id=order.pk, worker="worker-1")
    press(tuner, button, letter)
    letter.refresh_from_db()
    assert text in services.text_of(letter=letter)
    assert press(tuner, "letter-approve", letter, version=letter.version).status_code == 302
