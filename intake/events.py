"""The case's diary: everything that happens to a case is one row, never changed."""
from __future__ import annotations

from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser

from intake.models import Case, Event

RIDER = "rider"
WORKER = "worker"
ANSWERS_SAVED = "Answers saved."
"""Its detail holds what each answer was before, so that nothing typed is ever lost."""
CHANGES_SAID = "Said what was changed on the bike."
PHOTO_ADDED = "Photo added."
PHOTO_REFUSED = "A photo could not be used."
RIDER_ACTS = (ANSWERS_SAVED, CHANGES_SAID, PHOTO_ADDED)
"""What shows that the rider is at it; a reminder counts its days from the last of these."""


def record_event(
    *, case: Case, who: str, what: str, detail: dict[str, Any] | None = None, user: AbstractBaseUser | None = None,
) -> Event:
    """Add one row to the case's diary.  ``who`` is 'rider', 'worker', a tuner's user name or 'shop: NAME'.

    A case that had gone quiet is awake again as soon as its rider does anything.
    """
    if who == RIDER:
        Case.objects.filter(pk=case.pk, quiet_since__isnull=False).update(quiet_since=None)
    return Event.objects.create(case=case, who=who[:80], what=what[:200], detail=detail or {}, user=user)
