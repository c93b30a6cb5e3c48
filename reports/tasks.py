"""What the worker does.  Every task may come twice, late or never: the database row decides, not the message."""
from __future__ import annotations

import os
import socket
from typing import Any

from celery import shared_task
from celery.signals import worker_init

from intake import photo_making
from reports import services, sweeper

AS_A_BELL = {"acks_late": True, "reject_on_worker_lost": True, "ignore_result": True}


def _worker() -> str:
    return f"{socket.gethostname()} {os.getpid()}"


@worker_init.connect
def load_what_drafting_needs(**kwargs: Any) -> None:
    """Load the drawing library before the first case comes, once for all of the worker's processes."""
    from reports import plots  # noqa: F401  it takes a second, and the web process never needs it


@shared_task(**AS_A_BELL)
def draft(order_id: int) -> None:
    """Draft a handed-in round, if it still waits."""
    services.draft_round(order_id=order_id, worker=_worker())


@shared_task(**AS_A_BELL)
def deliver(delivery_id: int) -> None:
    """Send a queued delivery, if it still waits."""
    services.deliver(delivery_id=delivery_id, worker=_worker())


@shared_task(**AS_A_BELL)
def remind(reminder_id: int) -> None:
    """Send a queued reminder, if it is still wanted."""
    services.remind(reminder_id=reminder_id, worker=_worker())


@shared_task(**AS_A_BELL)
def send_hook(sending_id: int) -> None:
    """Send a queued message to a shop's web-hook, if it still waits."""
    services.send_hook(sending_id=sending_id, worker=_worker())


@shared_task(**AS_A_BELL)
def make_photo(upload_id: int) -> None:
    """Make a photo afresh from what its rider sent, if it still waits."""
    photo_making.make_photo(upload_id=upload_id)


@shared_task(**AS_A_BELL)
def sweep() -> None:
    """Find what bells and workers have lost."""
    sweeper.sweep()
