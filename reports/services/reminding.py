"""Reminders on their way: one row for each step of a round, leased while sending, never sent twice."""
from __future__ import annotations

import secrets
from functools import partial

from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from intake.events import WORKER, record_event
from intake.models import Round
from intake.services import go_quiet
from reports.due_reminders import is_day, still_due, to_leave_alone, to_remind
from reports.mail import FAILED, UNKNOWN, Outcome, hand_over, message_id
from reports.models import Reminder
from reports.reminder_mail import reminder_message
from reports.services.edge import guarded
from reports.services.sending import changes_after, claimed
from reports.signals import reminder_waiting

State = Reminder.State
AT_ONCE = 500
"""Reminders queued by one sweep; the next one comes in a minute."""


def plan_reminders() -> None:
    """Queue every reminder that is due, and let cases go quiet that nobody answers any more."""
    now = timezone.now()
    for place, (round, step) in enumerate(to_remind(now)):
        if place >= AT_ONCE:
            break
        queue_reminder(round=round, step=step)
    for case in to_leave_alone(now)[:AT_ONCE]:
        go_quiet(case=case)


@transaction.atomic
def queue_reminder(*, round: Round, step: str) -> Reminder:
    """Queue one step's reminder; the same step again is the same row, so two sweeps at once queue it once."""
    prefix = f"{round.case.number.lower()}.{round.number}.{secrets.token_hex(12)}"
    reminder, made = Reminder.objects.get_or_create(
        round=round, step=step, defaults={"message_id": message_id(prefix)})
    if made:
        transaction.on_commit(lambda: reminder_waiting.send(sender=Reminder, reminder_id=reminder.pk), robust=True)
    return reminder


def remind(*, reminder_id: int, worker: str) -> str:
    """Claim a queued reminder, look once more whether it is wanted, and send it; return the state it ended in.

    Blank where there was nothing to do.  One that is no longer wanted is taken away; one that comes at night waits.
    A worker that vanishes leaves ``sending``; the sweep calls that ``unknown``, and nobody is ever reminded twice.
    """
    claim = _claim(reminder_id, worker)
    if claim is None:
        return ""
    now = timezone.now()
    if not still_due(claim, now):
        _mine(claim).delete()
        return ""
    if not is_day(claim.round.case, now):
        # No try of its own: the bell rings every minute of the night, and the relay may be busy in the morning.
        _mine(claim).update(state=State.QUEUED, claimed_by="", claimed_until=None, attempts=claim.attempts - 1)
        return State.QUEUED
    message = guarded(partial(reminder_message, claim), on_failure=lambda words: Outcome(FAILED, words))
    if isinstance(message, EmailMessage):
        message = guarded(partial(hand_over, message), on_failure=lambda words: Outcome(UNKNOWN, words))
    return _settle(claim, message)


def _claim(reminder_id: int, worker: str) -> Reminder | None:
    name = claimed(Reminder.objects.all(), reminder_id, worker)
    return Reminder.objects.select_related("round__case").filter(pk=reminder_id).first() if name else None


def _mine(claim: Reminder) -> QuerySet[Reminder]:
    return Reminder.objects.filter(pk=claim.pk, claimed_by=claim.claimed_by, state=State.SENDING)


@transaction.atomic
def _settle(claim: Reminder, outcome: Outcome) -> str:
    changes = changes_after(outcome, claim.attempts)
    state = str(changes["state"])
    if not _mine(claim).update(claimed_until=None, **changes):
        return ""
    if state != State.QUEUED:
        record_event(case=claim.round.case, who=WORKER, what=_sentence(claim, state), detail={
            "step": claim.step, "message_id": claim.message_id, "reason": outcome.words})
    return state


def _sentence(claim: Reminder, state: str) -> str:
    said = {State.SENT: "Reminder mailed: {step}.", State.FAILED: "Reminder could not be mailed: {step}.",
            State.UNKNOWN: "Nobody can say whether a reminder went out: {step}."}
    return said[State(state)].format(step=claim.get_step_display())


def lost_reminders_unknown() -> None:
    """Call reminders ``unknown`` whose worker vanished while sending; they are not sent again."""
    hanging = Reminder.objects.filter(state=State.SENDING, claimed_until__lt=timezone.now())
    for reminder in hanging.select_related("round__case")[:AT_ONCE]:
        _settle(reminder, Outcome(UNKNOWN, "The worker stopped while it was sending."))
