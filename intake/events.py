"""The case's diary: everything that happens to a case is one row, never changed."""
from __future__ import annotations

from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser

from intake.models import Case, Event

RIDER = "rider"
WORKER = "worker"
ANSWERS_SAVED = "Answers saved."
"""Its detail holds what each answer was before, so that nothing typed is ever lost."""


def record_event(
    *, case: Case, who: str, what: str, detail: dict[str, Any] | None = None, user: AbstractBaseUser | None = None,
) -> Event:
    """Add one row to the case's diary.  ``who`` is 'rider', 'worker', a tuner's user name or 'shop: NAME'."""
    return Event.objects.create(case=case, who=who[:80], what=what[:200], detail=detail or {}, user=user)
