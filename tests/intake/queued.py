"""Cases that stand in the queue, for the tests of the queue and of what can be done in it."""
from __future__ import annotations

from datetime import datetime
from typing import Any

from django.utils import timezone

from intake.models import Case, Round
from intake.search import note_words
from intake.states import rank_anew


def queued(*, since: datetime | None = None, document: dict[str, Any] | None = None, round: int = 1,
           **fields: Any) -> Case:
    """Return a case as it stands some time after it came into its state: ready for the tuner, unless said otherwise."""
    case = Case.objects.create(**{"state": Case.State.READY, **fields})
    Round.objects.create(case=case, number=round, document=document or {})
    since = since or timezone.now()
    Case.objects.filter(pk=case.pk).update(state_since=since, turn_since=since)
    rank_anew(case)
    note_words(case=case)
    case.refresh_from_db()
    return case
