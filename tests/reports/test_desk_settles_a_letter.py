"""On the desk: what went out of date is settled by a press, English stands beside, and mail can be taken back."""
from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from reports import services
from reports.models import Delivery
from reports.services.deliveries import why_not
from tests.letter_cases import drafted_letter, handed_in
from tests.reports.test_a_letter_by_blocks import NBSP, edit, engine, findings, redrafted  # noqa: F401  the fixture

pytestmark = pytest.mark.django_db
MINE = f"Now you use 96{NBSP}mm. Tell me what you see."


def press(tuner, name, letter, *more, **fields):
    return tuner.client.post(reverse(name, args=[letter.round.case.number, *more]), fields)


def read(tuner, name, letter, **query):
    return tuner.client.get(reverse(name, args=[letter.round.case.number]), query)


@pytest.fixture
def stale(engine):  # noqa: F811
    order = handed_in()
    edit(drafted_letter(order), see=MINE)
    return redrafted(order, engine, findings(stroke=80.0))


def test_old_and_new_stand_side_by_side_in_the_tuners_sentence(tuner, stale):
    page = read(tuner, "desk-case", stale).content.decode()
    assert f"<mark>96{NBSP}mm</mark>" in page and f"The findings now say: <strong>80{NBSP}mm</strong>" in page
    refused = press(tuner, "letter-approve", stale, version=stale.version)
    assert refused.status_code == 409 and "out of date" in refused.content.decode()


def test_one_press_puts_the_new_number_in(tuner, stale):
    press(tuner, "take-number", stale, version=stale.version, block="see", place=0)
    stale.refresh_from_db()
    assert f"Now you use 80{NBSP}mm." in services.text_of(letter=stale)
    assert press(tuner, "letter-approve", stale, version=stale.version).status_code == 302


def test_a_number_is_kept_only_with_a_reason_and_the_reason_is_shown(tuner, stale):
    fields = {"version": stale.version, "block": "see", "place": 0}
    assert press(tuner, "keep-number", stale, **fields, because=" ").status_code == 409
    assert press(tuner, "keep-number", stale, **fields, because="measured twice").status_code == 302
    page = read(tuner, "desk-case", stale).content.decode()
    assert "Numbers kept otherwise than found: 1" in page and "tuner: measured twice" in page
    stale.refresh_from_db()
    assert press(tuner, "letter-approve", stale, version=stale.version).status_code == 302


@pytest.mark.parametrize("place", ["7", "x", ""])
def test_a_number_that_is_not_there_changes_nothing(tuner, stale, place):
    assert press(tuner, "take-number", stale, version=stale.version, block="see", place=place).status_code in (404, 409)
    assert stale.versions.count() == stale.version


def test_each_block_has_a_box_and_saving_one_touches_no_other(tuner, engine):  # noqa: F811
    letter = drafted_letter()
    page = read(tuner, "letter-edit", letter).content.decode()
    assert 'name="block-riding"' in page and 'name="block-see"' in page and 'name="text"' not in page
    assert 'name="text"' in read(tuner, "letter-edit", letter, whole=1).content.decode()
    press(tuner, "letter-edit", letter, based_on=1, **{"block-see": MINE})
    letter.refresh_from_db()
    assert [one["name"] for one in services.blocks_of(letter=letter) if one["text"] != one["written"]] == ["see"]


def test_english_stands_beside_and_an_edit_that_leaves_it_says_that_words_differ(tuner, engine):  # noqa: F811
    engine.language = "de"
    letter = drafted_letter(handed_in(language="de"))
    page = read(tuner, "letter-edit", letter).content.decode()
    assert "## Was du sehen solltest" in page and "## What you should see" in page and "words differ" not in page
    press(tuner, "letter-edit", letter, based_on=1, **{"block-see": "Schau genau hin."})
    assert read(tuner, "letter-edit", letter).content.decode().count("words differ") == 1
    assert "Words differ: the English beside What you should see" in read(tuner, "desk-case", letter).content.decode()
    press(tuner, "letter-edit", letter, based_on=2, **{"english-see": "Look closely."})
    assert "words differ" not in read(tuner, "letter-edit", letter).content.decode()


def test_in_a_conflict_what_only_the_other_changed_is_theirs_and_what_both_changed_shows_both(
        tuner, other_tuner, engine):  # noqa: F811
    letter = drafted_letter()
    press(other_tuner, "letter-edit", letter, based_on=1, **{"block-see": "Their see.", "block-undo": "Their undo."})
    shown = press(tuner, "letter-edit", letter, based_on=1, take_over="yes", **{
        "block-see": "My see.", "block-undo": services.blocks_of(letter=letter, version=1)[-2]["text"],
        "block-answer": "My answer."})
    rows = {row.name: row for row in shown.context["rows"]}
    assert shown.status_code == 409 and letter.versions.count() == 2
    assert (rows["see"].text, rows["see"].theirs, rows["answer"].text) == ("My see.", "Their see.", "My answer.")
    assert rows["undo"].text == "Their undo."


# -- own words ---------------------------------------------------------------------------------------------------


def keep_words(tuner, text="Thank you, {rider}. You use {usable stroke}.", name="Thanks"):
    tuner.client.post(reverse("own-words"), {"name": name, "text": text})
    return tuner.user.own_words.first()


def test_own_words_go_into_a_block_with_their_slots_filled_and_the_typed_words_saved(tuner, engine):  # noqa: F811
    letter, own = drafted_letter(), keep_words(tuner)
    press(tuner, "letter-insert", letter, based_on=1, own=own.pk, into="see", **{"block-answer": "My answer."})
    letter.refresh_from_db()
    words = services.text_of(letter=letter)
    assert f"Thank you, Rider. You use 96{NBSP}mm." in words and "My answer." in words


def test_a_number_that_own_words_brought_goes_out_of_date_too(tuner, engine):  # noqa: F811
    order = handed_in()
    letter, own = drafted_letter(order), keep_words(tuner)
    press(tuner, "letter-insert", letter, based_on=1, own=own.pk, into="boundaries")
    redrafted(order, engine, findings(stroke=80.0))
    page = read(tuner, "desk-case", letter).content.decode()
    assert f"You use <mark>96{NBSP}mm</mark>." in page and f"Put 80{NBSP}mm in" in page


def test_a_slot_without_a_value_here_is_refused_and_what_was_typed_stays(tuner, engine):  # noqa: F811
    letter, own = drafted_letter(), keep_words(tuner, "Draw off {draw off left}.")
    typed = {"block-answer": "My answer."}
    refused = press(tuner, "letter-insert", letter, based_on=1, own=own.pk, into="see", **typed)
    page = refused.content.decode()
    assert refused.status_code == 409 and "nothing for {draw off left}" in page and "My answer.</textarea>" in page
    assert letter.versions.count() == 1


def test_own_words_are_kept_changed_and_deleted_and_nobody_else_sees_them(tuner, other_tuner):
    own = keep_words(tuner)
    assert "Thanks" not in other_tuner.client.get(reverse("own-words")).content.decode()
    assert other_tuner.client.post(reverse("own-words-delete", args=[own.pk])).status_code == 404
    tuner.client.post(reverse("own-words-change", args=[own.pk]), {"name": "Many thanks", "text": "Thank you."})
    own.refresh_from_db()
    assert (own.name, own.text) == ("Many thanks", "Thank you.")
    tuner.client.post(reverse("own-words-delete", args=[own.pk]))
    assert not tuner.user.own_words.exists()


def test_a_slot_that_no_letter_has_is_refused_with_those_there_are_and_the_words_stay(tuner):
    refused = tuner.client.post(reverse("own-words"), {"name": "A", "text": "It is {colour}."})
    page = refused.content.decode()
    assert refused.status_code == 409 and "usable stroke" in page and "It is {colour}.</textarea>" in page


# -- a minute to think again -------------------------------------------------------------------------------------


@pytest.fixture
def approved(engine, tuner):  # noqa: F811
    letter = drafted_letter()
    return services.approve(letter=letter, version=1, user=tuner.user)


def test_no_mail_leaves_within_the_minute_and_taken_back_none_leaves_at_all(tuner, approved, mailoutbox):
    press(tuner, "letter-send", approved, to="rider@example.org")
    row = Delivery.objects.get()
    assert services.deliver(delivery_id=row.pk, worker="worker-1") == "" and mailoutbox == []
    page = read(tuner, "desk-case", approved).content.decode()
    assert "Take it back" in page and "Take the approval back" not in page
    press(tuner, "delivery-back", approved, row.pk)
    Delivery.objects.update(not_before=timezone.now() - timedelta(minutes=5))
    assert services.deliver(delivery_id=row.pk, worker="worker-1") == "" and mailoutbox == []
    assert "Take the approval back" in read(tuner, "desk-case", approved).content.decode()


def test_after_the_minute_it_goes_out_as_it_was_approved_and_cannot_be_taken_back(tuner, approved, mailoutbox):
    press(tuner, "letter-send", approved, to="rider@example.org")
    Delivery.objects.update(not_before=timezone.now() - timedelta(seconds=1))
    row = Delivery.objects.get()
    assert services.deliver(delivery_id=row.pk, worker="worker-1") == "sent" and len(mailoutbox) == 1
    refused = press(tuner, "delivery-back", approved, row.pk)
    assert refused.status_code == 409 and "too late" in refused.content.decode()


def test_what_was_taken_back_can_be_changed_and_sent_again_and_only_the_new_words_leave(tuner, approved, mailoutbox):
    press(tuner, "letter-send", approved, to="rider@example.org")
    press(tuner, "delivery-back", approved, Delivery.objects.get().pk)
    press(tuner, "letter-unapprove", approved)
    edit(approved, answer="Better words.")
    press(tuner, "letter-approve", approved, version=2)
    press(tuner, "letter-send", approved, to="rider@example.org")
    press(tuner, "delivery-now", approved, Delivery.objects.get().pk)
    assert services.deliver(delivery_id=Delivery.objects.get().pk, worker="worker-1") == "sent"
    assert "Better words." in mailoutbox[0].body


def test_a_letter_that_was_taken_back_can_be_sent_again_without_typing_the_address_again(tuner, approved):
    press(tuner, "letter-send", approved, to="other@example.org")
    assert "Send it to another address too" in read(tuner, "desk-case", approved).content.decode()
    press(tuner, "delivery-back", approved, Delivery.objects.get().pk)
    page = read(tuner, "desk-case", approved).content.decode()
    assert "another address" not in page and 'name="to" value="other@example.org"' in page


# -- a letter that replaces one that has left --------------------------------------------------------------------


def sent(tuner, letter):
    services.queue_delivery(letter=letter, to="rider@example.org", user=tuner.user)
    assert services.deliver(delivery_id=letter.deliveries.get().pk, worker="worker-1") == "sent"


def test_a_correction_is_a_new_letter_that_says_which_it_replaces(tuner, rider, approved):
    sent(tuner, approved)
    for _ in range(2):
        press(tuner, "letter-replace", approved)
    new = approved.round.letters.get(replaces=approved)
    assert "This letter replaces our letter of" in services.text_of(letter=new)
    edit(new, answer="Corrected.")
    press(tuner, "letter-approve", new, version=2)
    new.refresh_from_db()
    assert new.approved_at and approved.round.letters.count() == 2
    approved.refresh_from_db()
    assert "Corrected." not in services.text_of(letter=approved)
    assert "Replaces the letter of" in read(tuner, "desk-case", new).content.decode()
    assert why_not(letter=approved) == "Another letter has replaced this one."


def test_a_correction_without_that_line_is_not_approved(tuner, approved):
    sent(tuner, approved)
    press(tuner, "letter-replace", approved)
    new = edit(approved.round.letters.get(replaces=approved), replaces="")
    refused = press(tuner, "letter-approve", new, version=2)
    assert refused.status_code == 409 and "replaces one that was sent, and does not say so" in refused.content.decode()


def test_a_letter_that_has_not_left_is_not_replaced(tuner, approved):
    assert press(tuner, "letter-replace", approved).status_code == 409
    assert approved.round.letters.count() == 1


# -- the service sheet ------------------------------------------------------------------------------------------


def test_the_service_sheet_is_reached_from_the_case_page(tuner, engine):  # noqa: F811
    letter = drafted_letter()
    page = read(tuner, "desk-case", letter).content.decode()
    assert reverse("service-sheet", args=[letter.round.case.number]) in page
    answer = read(tuner, "service-sheet", letter)
    assert answer["Content-Type"] == "application/pdf" and answer.content.startswith(b"%PDF")


def test_all_new_numbers_go_in_with_one_press(tuner, engine):  # noqa: F811
    order = handed_in()
    edit(drafted_letter(order), see=f"Now you use 96{NBSP}mm, then 142 mm.", undo=f"You had 96{NBSP}mm.")
    letter = redrafted(order, engine, findings(stroke=80.0))
    press(tuner, "take-all-numbers", letter, version=letter.version)
    letter.refresh_from_db()
    words = services.text_of(letter=letter)
    assert f"Now you use 80{NBSP}mm, then 142 mm." in words
    assert press(tuner, "letter-approve", letter, version=letter.version).status_code == 302
