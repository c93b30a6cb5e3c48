"""What is mailed is what was approved; nothing else is ever mailed, and a doubled click mails once."""
from __future__ import annotations

import pytest
from django.core import mail

from intake.errors import Refused
from intake.models import Case, Round
from reports import services
from reports.models import Delivery, Draft, Letter, LetterVersion
from tests.letter_cases import PDF, approved_letter, drafted_letter, handed_in, tuner, use_fake_engine

pytestmark = pytest.mark.django_db
State = Delivery.State


@pytest.fixture(autouse=True)
def engine(monkeypatch, settings):
    settings.DEFAULT_FROM_EMAIL = "Bench <letters@farbench.example>"
    settings.SITE_URL = "https://farbench.example"
    use_fake_engine(monkeypatch)


def queued(letter=None, to="rider@example.org"):
    return services.queue_delivery(letter=letter or approved_letter(), to=to, user=tuner())


def deliver(delivery):
    state = services.deliver(delivery_id=delivery.pk, worker="worker-1")
    delivery.refresh_from_db()
    return state


def test_an_approved_letter_goes_out_as_text_html_and_pdf():
    delivery = queued()
    assert deliver(delivery) == State.SENT and delivery.sent_at and delivery.claimed_until is None
    [message] = mail.outbox
    number = delivery.letter.round.case.number
    assert (message.to, message.from_email) == (["rider@example.org"], "Bench <letters@farbench.example>")
    assert "Most likely too much oil in both legs." in message.body and "**" not in message.body
    assert f"https://farbench.example/{number}/letter/" in message.body
    [html] = message.alternatives
    assert html.mimetype == "text/html" and "<strong>too much oil</strong>" in html.content
    assert message.attachments == [(f"{number}-round-1.pdf", PDF, "application/pdf")]


def test_the_message_id_belongs_to_the_delivery_and_never_changes():
    delivery = queued()
    deliver(delivery)
    Delivery.objects.update(state=State.FAILED)
    services.retry_delivery(delivery=delivery, user=tuner())
    deliver(delivery)
    first, second = (message.message()["Message-ID"] for message in mail.outbox)
    assert first == second == delivery.message_id
    assert first.endswith("@farbench.example>")


def test_only_an_approved_letter_can_be_queued():
    with pytest.raises(Refused, match="not approved"):
        queued(drafted_letter())
    assert not Delivery.objects.exists()


def test_a_doubled_click_on_send_is_one_delivery_and_one_mail():
    letter = approved_letter()
    first, second = queued(letter), queued(letter)
    assert first == second == queued(letter, " RIDER@example.org ")
    deliver(first)
    assert queued(letter).state == State.SENT
    assert deliver(first) == "" and len(mail.outbox) == 1
    assert letter.round.case.events.filter(what__startswith="Letter queued").count() == 1


def test_another_address_is_another_delivery():
    letter = approved_letter()
    assert queued(letter) != queued(letter, "workshop@example.org")


@pytest.mark.parametrize("address", [
    "", "nobody", "a@b", "a@example.org, b@example.org", "a@example.org\nBcc: all@example.org", "<a@example.org>",
])
def test_what_is_no_single_address_is_refused(address):
    with pytest.raises(Refused, match="e-mail address"):
        queued(to=address)
    assert not Delivery.objects.exists()


def test_what_a_person_typed_cannot_become_a_header():
    order = handed_in()
    Case.objects.update(title="Dives\r\nBcc: all@example.org", rider_name="X\r\nBcc: all@example.org")
    deliver(queued(approved_letter(order)))
    head = mail.outbox[0].message().as_string().split("\n\n")[0]
    assert "all@example.org" not in head and mail.outbox[0].recipients() == ["rider@example.org"]


def unapprove():
    Letter.objects.update(approved_at=None, approved_by=None, approved_version=None, content_hash="", pdf=None)


@pytest.mark.parametrize(("spoil", "said"), [
    (unapprove, "not approved"),
    (lambda: LetterVersion.objects.update(text="Other words."), "not what was approved"),
    (lambda: Draft.objects.update(findings={}), "not what was approved"),
    (lambda: Draft.objects.update(figures=[]), "not what was approved"),
    (lambda: Delivery.objects.update(content_hash="0" * 64), "not the one that was queued"),
    (lambda: Round.objects.update(revision=9), "answers have changed"),
    (lambda: Case.objects.update(state=Case.State.WITHDRAWN), "withdrawn"),
    (lambda: Case.objects.update(stop=True), "safety sign came after"),
])
def test_whatever_happened_since_it_was_queued_nothing_unapproved_is_mailed(spoil, said):
    delivery = queued()
    spoil()
    assert deliver(delivery) == State.FAILED and said in delivery.reason
    assert not mail.outbox


def test_a_failed_delivery_is_not_queued_again_while_its_letter_must_not_go_out():
    delivery = queued()
    Round.objects.update(revision=9)
    deliver(delivery)
    with pytest.raises(Refused, match="answers have changed"):
        services.retry_delivery(delivery=delivery, user=tuner())
    delivery.refresh_from_db()
    assert delivery.state == State.FAILED


def test_an_address_longer_than_mail_allows_is_refused():
    with pytest.raises(Refused, match="name@example.org"):
        services.queue_delivery(letter=approved_letter(), to="a" * 60 + "@" + ".".join(["b" * 60] * 4) + ".example")
