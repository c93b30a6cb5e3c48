"""The whole way with nothing replaced: engine, figures, words, print and mail."""
from __future__ import annotations

import json
from pathlib import Path

import pytest
from django.urls import reverse

from intake.models import Case
from intake.services import hand_in, replace_document
from reports import services
from tests.letter_cases import tuner

DEMO = Path(__file__).parent.parent.parent / "fixtures" / "demo"


def drafted(case: Case, name: str):
    document = json.loads((DEMO / name).read_text())
    round = replace_document(round=case.current_round, document=document, who="rider")
    order = hand_in(round=round, who="rider")
    draft = services.draft_round(order_id=order.pk, worker="worker-1")
    order.refresh_from_db()
    assert draft is not None, order.reason
    case.refresh_from_db()
    return draft


def test_a_case_that_was_handed_in_leaves_as_an_approved_letter(rider, mailoutbox):
    draft = drafted(rider.case, "01-wall-after-the-oil-change.json")
    assert rider.case.state == Case.State.READY and rider.case.summary["cause"]
    letter = draft.round.letters.get()
    services.approve(letter=letter, version=1, user=tuner("approver"))
    delivery = services.queue_delivery(letter=letter, to=rider.case.rider_email)
    assert services.deliver(delivery_id=delivery.pk, worker="worker-1") == "sent"
    [message] = mailoutbox
    pdf = message.attachments[0][1]
    assert pdf.startswith(b"%PDF") and pdf == bytes(letter.pdf)
    page = rider.client.get(reverse("letter", args=[rider.case.number]))
    text = page.content.decode()
    assert page.status_code == 200 and text.count("<svg") >= len(draft.figures) > 3
    assert rider.client.get(reverse("letter-pdf", args=[rider.case.number])).content == pdf


def test_the_same_answers_drafted_again_read_the_same(rider):
    from reports.services import drafting

    draft = drafted(rider.case, "01-wall-after-the-oil-change.json")
    again = drafting.compute(draft.round)
    assert json.loads(json.dumps(again.findings)) == draft.findings and again.letter_text == draft.letter_text


def test_a_stop_sign_reaches_page_and_letter_and_no_advice_does(rider):
    draft = drafted(rider.case, "07-oil-on-the-brake.json")
    assert (rider.case.state, rider.case.stop) == (Case.State.WORKSHOP_ONLY, True)
    services.approve(letter=draft.round.letters.get(), version=1, user=tuner("approver"))
    page = rider.client.get(reverse("letter", args=[rider.case.number]))
    assert page.status_code == 200 and b"Stop: do not ride" in page.content
    assert not draft.findings["advice"] and b"<figure" not in page.content


@pytest.mark.parametrize("name", [
    "05-hardly-anything-known.json", "06-clank-and-unused-travel.json", "08-nothing-wrong.json",
])
def test_cases_of_other_kinds_can_be_drafted_and_printed(rider, name):
    letter = drafted(rider.case, name).round.letters.get()
    assert services.approve(letter=letter, version=1, user=tuner("approver")).content_hash
