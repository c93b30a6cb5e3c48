"""Finds work whose bell was lost or whose worker vanished.  Runs every minute; running it twice at once is harmless."""
from __future__ import annotations

from datetime import timedelta
from functools import partial

from django.db.models import Q
from django.utils import timezone

from intake.clock import call_overdue
from intake.models import PhotoUpload, WorkOrder
from intake.once import sweep_answers
from intake.photo_making import give_up_on_what_kills_workers, waiting_uploads
from intake.photo_pieces import sweep_uploads
from intake.question_mail import mail_lost_questions
from intake.sealing import seal_trail
from intake.signals import photo_waiting, work_waiting
from reports.models import Delivery, HookSending, Reminder
from reports.services.deliveries import lease_ran_out
from reports.services.drafting import MAX_ATTEMPTS, park
from reports.services.edge import guarded
from reports.services.hooks import forget_old_sendings, lost_hooks_again
from reports.services.reminding import lost_reminders_unknown, plan_reminders
from reports.signals import hook_waiting, mail_waiting, reminder_waiting

BELL_TIME = timedelta(seconds=10)
"""A bell younger than this may still be on its way."""
AT_ONCE = 500
"""Rings per sweep: more than workers get through in a minute, few enough not to flood the broker under a backlog."""


def sweep() -> None:
    """Ring again for what waits, park what kept killing its worker, and say "unknown" of mail that hangs.

    Photos that nobody has gone on sending for a day are dropped on the way, and answers kept for a day.
    """
    for step in (
        park_what_kills_workers, call_hanging_mail_unknown, ring_for_orders, ring_for_deliveries,
        lost_reminders_unknown, ring_for_reminders, plan_reminders, lost_hooks_again, ring_for_hooks,
        forget_old_sendings, call_overdue, partial(give_up_on_what_kills_workers, AT_ONCE), ring_for_photos,
        sweep_uploads, sweep_answers, seal_trail, mail_lost_questions,
    ):
        guarded(step, on_failure=_go_on)


def _go_on(words: str) -> None:
    """One row that cannot be handled must not hold up mail and drafts: it is logged, and the next step has its turn."""


def ring_for_orders() -> None:
    """Ring for rounds that wait, or whose worker's lease ran out."""
    now = timezone.now()
    rested = Q(claimed_until__isnull=True) | Q(claimed_until__lt=now)
    lost = WorkOrder.objects.filter(
        rested & Q(state=WorkOrder.State.WAITING, created_at__lt=now - BELL_TIME)
        | Q(state=WorkOrder.State.CLAIMED, claimed_until__lt=now))
    for order_id in lost.order_by("pk").values_list("pk", flat=True)[:AT_ONCE]:
        work_waiting.send(sender=WorkOrder, order_id=order_id)


def park_what_kills_workers() -> None:
    """Put aside orders whose last permitted attempt ended without a word: the worker was killed each time."""
    silent = WorkOrder.objects.filter(state=WorkOrder.State.CLAIMED, claimed_until__lt=timezone.now(),
                                      attempts__gte=MAX_ATTEMPTS)
    for order_id in silent.values_list("pk", flat=True)[:AT_ONCE]:
        park(orders=silent.filter(pk=order_id),
             reason=f"The worker was stopped {MAX_ATTEMPTS} times before it could finish this draft.")


def call_hanging_mail_unknown() -> None:
    """A worker vanished while sending: nobody can say whether the mail went out, and a person has to decide."""
    hanging = Delivery.objects.filter(state=Delivery.State.SENDING, claimed_until__lt=timezone.now())
    for delivery in hanging.select_related("letter__round__case")[:AT_ONCE]:
        lease_ran_out(delivery=delivery)


def ring_for_deliveries() -> None:
    """Ring for letters that are queued and due."""
    now = timezone.now()
    due = Delivery.objects.filter(Q(not_before__lte=now) | Q(not_before__isnull=True, created_at__lt=now - BELL_TIME),
                                  state=Delivery.State.QUEUED)
    for delivery_id in due.order_by("pk").values_list("pk", flat=True)[:AT_ONCE]:
        mail_waiting.send(sender=Delivery, delivery_id=delivery_id)


def ring_for_reminders() -> None:
    """Ring for reminders that are queued and due."""
    now = timezone.now()
    due = Reminder.objects.filter(Q(not_before__lte=now) | Q(not_before__isnull=True, created_at__lt=now - BELL_TIME),
                                  state=Reminder.State.QUEUED)
    for reminder_id in due.order_by("pk").values_list("pk", flat=True)[:AT_ONCE]:
        reminder_waiting.send(sender=Reminder, reminder_id=reminder_id)


def ring_for_photos() -> None:
    """Ring for photos that wait to be made afresh, or whose worker's lease ran out."""
    now = timezone.now()
    lost = waiting_uploads().filter(Q(claimed_until=None, whole_since__lt=now - BELL_TIME) | Q(claimed_until__lt=now))
    for upload_id in lost.order_by("pk").values_list("pk", flat=True)[:AT_ONCE]:
        photo_waiting.send(sender=PhotoUpload, upload_id=upload_id)


def ring_for_hooks() -> None:
    """Ring for messages to web-hooks that are queued and due."""
    now = timezone.now()
    rested = Q(not_before__lte=now) | Q(not_before__isnull=True, created_at__lt=now - BELL_TIME)
    due = HookSending.objects.filter(rested, state=HookSending.State.QUEUED)
    for sending_id in due.order_by("pk").values_list("pk", flat=True)[:AT_ONCE]:
        hook_waiting.send(sender=HookSending, sending_id=sending_id)
