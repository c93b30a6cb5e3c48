"""Rings the broker's bell when work waits.  A lost ring is harmless: the row is the record, the sweep looks again."""
from __future__ import annotations

import logging
from typing import Any

from celery import Task
from django.dispatch import receiver
from kombu.exceptions import OperationalError

from intake.signals import photo_waiting, work_waiting
from reports import tasks
from reports.signals import hook_waiting, mail_waiting, reminder_waiting

logger = logging.getLogger(__name__)
LAST = 9
"""The broker's last line: fifty photos that come at once must not hold up a letter."""


@receiver(work_waiting)
def ring_for_a_draft(order_id: int, **kwargs: Any) -> None:
    """Tell a worker that a round waits for its draft."""
    _ring(tasks.draft, order_id)


@receiver(mail_waiting)
def ring_for_a_delivery(delivery_id: int, wait: float = 0, **kwargs: Any) -> None:
    """Tell a worker that a letter waits to be sent, after ``wait`` seconds."""
    _ring(tasks.deliver, delivery_id, **({"countdown": wait + 1} if wait else {}))


@receiver(reminder_waiting)
def ring_for_a_reminder(reminder_id: int, **kwargs: Any) -> None:
    """Tell a worker that a reminder waits to be sent."""
    _ring(tasks.remind, reminder_id)


@receiver(hook_waiting)
def ring_for_a_hook(sending_id: int, **kwargs: Any) -> None:
    """Tell a worker that a message to a shop waits to be sent."""
    _ring(tasks.send_hook, sending_id)


@receiver(photo_waiting)
def ring_for_a_photo(upload_id: int, **kwargs: Any) -> None:
    """Tell a worker that a photo waits to be made afresh; it may wait until drafts and mail are done."""
    _ring(tasks.make_photo, upload_id, priority=LAST)


def _ring(task: Task, row_id: int, **options: Any) -> None:
    try:
        task.apply_async((row_id,), retry=False, **options)
    except OperationalError as problem:
        logger.warning("The broker does not answer (%s); the sweep will find the work.", problem)
