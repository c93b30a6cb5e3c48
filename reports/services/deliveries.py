"""Approved letters on their way: one row per letter and address, leased while sending, and honest about not knowing."""
from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta
from functools import partial

from django.contrib.auth.models import AbstractBaseUser
from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from intake.errors import Refused
from intake.events import WORKER, record_event
from intake.models import Case
from intake.services.starting import checked_email
from reports.approved import outvoted
from reports.mail import FAILED, UNKNOWN, Outcome, hand_over, letter_message, message_id
from reports.models import Delivery, Letter
from reports.services.edge import guarded
from reports.services.letters import content_hash
from reports.services.sending import changes_after, claimed
from reports.services.versions import is_stale, text_of
from reports.signals import mail_waiting

State = Delivery.State
UNDO = timedelta(seconds=60)
"""So long a letter that a tuner sends can be taken back: no mail leaves before."""


def why_not(*, letter: Letter) -> str:
    """Return why ``letter`` must not be mailed as it stands; blank where it may."""
    if not letter.approved_at or not letter.pdf:
        return "The letter is not approved."
    if letter.round.case.state == Case.State.WITHDRAWN:
        return "The rider has withdrawn the case."
    if is_stale(letter=letter):
        return "The answers have changed since the letter was drafted."
    if outvoted(letter):
        return "A safety sign came after this letter: it must not be followed any more."
    if Letter.objects.filter(replaces=letter, approved_at__isnull=False).exists():
        return "Another letter has replaced this one."
    words = text_of(letter=letter, version=letter.approved_version)
    if content_hash(words=words, draft=letter.draft) != letter.content_hash:
        return "What would be sent is not what was approved."
    return ""


def _check_sendable(letter: Letter) -> None:
    if problem := why_not(letter=letter):
        raise Refused(problem, "Only an approved letter on the newest answers is sent. Open the letter and check it.")


@transaction.atomic
def queue_delivery(*, letter: Letter, to: str, user: AbstractBaseUser | None = None,
                   wait: timedelta = timedelta(0)) -> Delivery:
    """Queue the approved letter for ``to``, to leave after ``wait``.

    The same address again is the same delivery: doubled clicks send once.  One that was taken back is queued again.
    """
    to = _address(to)
    # Holds the letter's row, so that an approval cannot be withdrawn between the check and the queueing.
    Letter.objects.filter(pk=letter.pk).update(version=F("version"))
    letter.refresh_from_db()
    _check_sendable(letter)
    delivery = letter.deliveries.filter(to__iexact=to).first()
    if delivery is not None and delivery.state != State.TAKEN_BACK:
        return delivery
    due = {"content_hash": letter.content_hash, "not_before": timezone.now() + wait if wait else None}
    if delivery is None:
        delivery = Delivery.objects.create(letter=letter, to=to, message_id=_message_id(letter), **due)
    else:
        Delivery.objects.filter(pk=delivery.pk, state=State.TAKEN_BACK).update(state=State.QUEUED, reason="", **due)
        delivery.refresh_from_db()
    _record(delivery, f"Letter queued for {to}.", user)
    _ring(delivery, wait)
    return delivery


@transaction.atomic
def take_back_delivery(*, delivery: Delivery, user: AbstractBaseUser) -> Delivery:
    """Keep a queued letter from leaving.  Refused once a worker has it: then only a letter that replaces it helps."""
    back = Delivery.objects.filter(pk=delivery.pk, state=State.QUEUED).update(
        state=State.TAKEN_BACK, not_before=None, claimed_by="", reason="Taken back before it left.")
    delivery.refresh_from_db()
    if not back and delivery.state != State.TAKEN_BACK:
        raise Refused("It is too late to take this letter back: it has left, or is leaving now.",
                      "Write a letter that replaces it, or call the rider.")
    if back:
        _record(delivery, f"Letter to {delivery.to} taken back before it left.", user)
    return delivery


@transaction.atomic
def send_now(*, delivery: Delivery, user: AbstractBaseUser) -> Delivery:
    """Let a queued letter leave without waiting any longer."""
    if not Delivery.objects.filter(pk=delivery.pk, state=State.QUEUED).update(not_before=None):
        raise _already_settled()
    delivery.refresh_from_db()
    _record(delivery, f"Letter to {delivery.to} leaves at once.", user)
    _ring(delivery)
    return delivery


def _address(typed: str) -> str:
    to = checked_email(typed)
    if not to:
        raise Refused("There is no e-mail address.", "Type one like name@example.org.")
    return to


def _message_id(letter: Letter) -> str:
    """Return a Message-ID for one delivery.  It never changes, so a second sending is known for the same letter."""
    return message_id(f"{letter.round.case.number.lower()}.{letter.round.number}.{secrets.token_hex(12)}")


def _ring(delivery: Delivery, wait: timedelta = timedelta(0)) -> None:
    transaction.on_commit(lambda: mail_waiting.send(sender=Delivery, delivery_id=delivery.pk,
                                                    wait=wait.total_seconds()), robust=True)


def _record(delivery: Delivery, what: str, user: AbstractBaseUser | None = None) -> None:
    record_event(case=delivery.letter.round.case, who=user.get_username() if user else WORKER, what=what, user=user,
                 detail={"to": delivery.to, "message_id": delivery.message_id})


@dataclass(frozen=True)
class Claim:
    """One worker's hold on one delivery."""

    delivery: Delivery
    by: str


def deliver(*, delivery_id: int, worker: str) -> str:
    """Claim a queued delivery, check once more that it may go, and hand it to the relay; return the state it ended in.

    Blank where there was nothing to do.  A worker that vanishes leaves ``sending``, and the sweep calls it ``unknown``.
    """
    claim = _claim(delivery_id, worker)
    if claim is None:
        return ""
    message = guarded(partial(_compose, claim), on_failure=lambda words: Outcome(FAILED, words))
    if isinstance(message, EmailMultiAlternatives):
        # From here on, what nobody foresaw leaves open whether the mail went out.
        message = guarded(partial(hand_over, message), on_failure=lambda words: Outcome(UNKNOWN, words))
    return _settle(claim, message)


def _claim(delivery_id: int, worker: str) -> Claim | None:
    name = claimed(Delivery.objects.all(), delivery_id, worker)
    if not name:
        return None
    return Claim(Delivery.objects.select_related("letter__draft", "letter__round__case").get(pk=delivery_id), name)


def _compose(claim: Claim) -> EmailMultiAlternatives | Outcome:
    delivery, letter = claim.delivery, claim.delivery.letter
    problem = why_not(letter=letter)
    if not problem and letter.content_hash != delivery.content_hash:
        problem = "The letter is not the one that was queued."
    if problem:
        return Outcome(FAILED, problem)
    return letter_message(delivery, text_of(letter=letter, version=letter.approved_version))


@transaction.atomic
def _settle(claim: Claim, outcome: Outcome) -> str:
    delivery = claim.delivery
    changes = changes_after(outcome, delivery.attempts)
    # Also where the sweep had already written "unknown": now it is known.  Not where a person has decided since.
    mine = Delivery.objects.filter(pk=delivery.pk, claimed_by=claim.by, state__in=[State.SENDING, State.UNKNOWN])
    if not mine.update(claimed_until=None, **changes):
        if Delivery.objects.filter(pk=delivery.pk).exists():  # else the rider had the case erased meanwhile
            _record(delivery, f"Late answer about the letter to {delivery.to}: {outcome.state}. {outcome.words}")
        return ""
    if changes["state"] != State.QUEUED:
        _record(delivery, _sentence(delivery.to, changes["state"], outcome.words))
    return str(changes["state"])


def _sentence(to: str, state: str, words: str) -> str:
    said = {State.SENT: f"Letter mailed to {to}.", State.FAILED: f"Letter to {to} could not be mailed. {words}",
            State.UNKNOWN: f"Nobody can say whether the letter to {to} went out. {words}"}
    return said[State(state)].strip()


@transaction.atomic
def lease_ran_out(*, delivery: Delivery) -> bool:
    """Call a delivery ``unknown`` whose worker vanished while sending; False where it has settled in the meantime."""
    words = "The worker stopped while it was sending. Ask the rider, or look into the mail relay's log, then decide."
    lost = Delivery.objects.filter(pk=delivery.pk, state=State.SENDING, claimed_until__lt=timezone.now())
    if not lost.update(state=State.UNKNOWN, claimed_until=None, reason=words):
        return False
    _record(delivery, _sentence(delivery.to, State.UNKNOWN, ""))
    return True


@transaction.atomic
def retry_delivery(*, delivery: Delivery, user: AbstractBaseUser) -> Delivery:
    """Queue a failed delivery once more."""
    _check_sendable(delivery.letter)
    _requeue(delivery, State.FAILED)
    _record(delivery, f"Letter queued for {delivery.to} again.", user)
    return delivery


@transaction.atomic
def settle_unknown(*, delivery: Delivery, arrived: bool, user: AbstractBaseUser) -> Delivery:
    """Write down what a person found out: it arrived, or it did not and is sent again under the same Message-ID."""
    if not arrived:
        _check_sendable(delivery.letter)
        _requeue(delivery, State.UNKNOWN)
        _record(delivery, f"Letter to {delivery.to} did not arrive; queued again.", user)
        return delivery
    known = Delivery.objects.filter(pk=delivery.pk, state=State.UNKNOWN).update(
        state=State.SENT, sent_at=timezone.now(), claimed_by="", reason="")
    if not known:
        raise _already_settled()
    delivery.refresh_from_db()
    _record(delivery, f"Letter to {delivery.to} did arrive.", user)
    return delivery


def _requeue(delivery: Delivery, state: str) -> None:
    back = Delivery.objects.filter(pk=delivery.pk, state=state).update(
        state=State.QUEUED, attempts=0, claimed_by="", not_before=None, reason="")
    if not back:
        raise _already_settled()
    delivery.refresh_from_db()
    _ring(delivery)


def _already_settled() -> Refused:
    return Refused("This sending has moved on since you loaded the page.", "Reload the page to see how it stands now.")
