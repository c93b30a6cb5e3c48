"""What everything on its way shares: a claim that only one worker gets, and what an answer of the relay leads to."""
from __future__ import annotations

from datetime import timedelta

from django.db.models import F, Model, Q, QuerySet
from django.utils import timezone

from reports.mail import LATER, SENT, UNKNOWN, Outcome
from reports.models import Sending
from reports.services.edge import claim_name, lease_end

MAX_ATTEMPTS = 5
FIRST_REST = timedelta(minutes=1)
"""Before a relay that said "later" is asked again; doubles each time."""


def claimed(rows: QuerySet[Model], pk: int, worker: str) -> str:
    """Claim a queued mail whose time has come; return the claim's name, blank where another worker has it."""
    name = claim_name(worker)
    mine = rows.filter(
        Q(not_before__isnull=True) | Q(not_before__lte=timezone.now()), pk=pk, state=Sending.QUEUED,
    ).update(state=Sending.SENDING, claimed_by=name, claimed_until=lease_end(), attempts=F("attempts") + 1)
    return name if mine else ""


def changes_after(
    outcome: Outcome, attempts: int, *, most: int = MAX_ATTEMPTS, spent: str = Sending.FAILED,
) -> dict[str, object]:
    """Return what a sending's row says after ``outcome``: sent, failed, not known, or queued again for later.

    After ``most`` attempts it is ``spent``.
    """
    if outcome.state == SENT:
        return {"state": Sending.SENT, "sent_at": timezone.now(), "reason": "", "not_before": None}
    if outcome.state == LATER and attempts < most:
        rest = FIRST_REST * 2 ** (attempts - 1)
        return {"state": Sending.QUEUED, "reason": outcome.words, "not_before": timezone.now() + rest}
    if outcome.state == UNKNOWN:
        return {"state": Sending.UNKNOWN, "reason": outcome.words}
    if outcome.state == LATER:
        return {"state": spent, "reason": f"{outcome.words} Tried {attempts} times."}
    return {"state": Sending.FAILED, "reason": outcome.words}
