"""The worker's edge: whatever goes wrong inside is written down where a person will see it, and the worker lives on."""
from __future__ import annotations

import logging
import secrets
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TypeVar

from django.conf import settings
from django.utils import timezone

logger = logging.getLogger(__name__)
Result = TypeVar("Result")
LONGEST_REASON = 2_000


def lease_end() -> datetime:
    """Return when a claim made now runs out: after the time limit has surely ended the worker that made it."""
    return timezone.now() + timedelta(seconds=settings.CELERY_TASK_TIME_LIMIT + 60)


def claim_name(worker: str) -> str:
    """Return a name for one claim, new each time: a worker must not take its own outlived claim for a live one."""
    return f"{worker[:60]} {secrets.token_hex(6)}"


def guarded(work: Callable[[], Result], on_failure: Callable[[str], Result]) -> Result:
    """Do ``work``; where it fails, log the whole story and return ``on_failure(what happened, in a sentence)``."""
    try:
        return work()
    except Exception as problem:  # broad: anything may be wrong in there, and the row must say what
        logger.exception("The worker could not finish.")
        return on_failure(_keepable(f"{problem or 'No further words.'} ({type(problem).__name__})"))


def _keepable(words: str) -> str:
    """Return ``words`` as any database can hold them: a reason that cannot be stored would lose the failure itself."""
    return words[:LONGEST_REASON].replace("\x00", "").encode("utf-8", "replace").decode("utf-8")
