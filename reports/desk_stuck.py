"""What should be out and is not: letters and questions whose mail is stuck.

Such a case waits for its rider as far as its state goes, and so has left the queue: nobody would look at it again.
"""
from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import QuerySet

from intake.lanes import Lane, rank_of
from intake.models import Case
from reports.models import Delivery, Letter

LOOK_BACK = timedelta(days=30)
NEWEST = 150
"""Cases of a state that are looked at, newest first: bounded, however many there are."""
APPROVED, ASKED, QUEUED = timedelta(minutes=10), timedelta(minutes=5), timedelta(minutes=30)
"""What is younger than this is on its way, or its tuner is still at it."""
S = Delivery.State


@dataclass(frozen=True)
class Stuck:
    """A case whose rider has not got what we wrote."""

    number: str
    title: str
    words: str


def stuck_mail(now: datetime) -> list[Stuck]:
    """Return the cases whose letter or question has not gone out; three queries."""
    return [*_letters(now), *_questions(now)]


def _newest(state: str, now: datetime, **more: Any) -> QuerySet[Case]:
    rows = Case.objects.filter(state=state, rank__gte=rank_of(Lane.RIDER, now - LOOK_BACK), **more).exclude(
        rider_email="")
    return rows.order_by("-rank")[:NEWEST]


def _letters(now: datetime) -> list[Stuck]:
    advised = list(_newest(Case.State.ADVISED, now).values_list("pk", flat=True))  # joined at once it takes seconds
    standing = Letter.objects.filter(round__case__in=advised, approved_at__isnull=False,
                                     replaced_by__approved_at__isnull=True)
    found: dict[str, tuple[str, int, datetime, dict[str, datetime]]] = {}
    for number, title, round, approved, state, since in standing.order_by("round__number", "id").values_list(
            "round__case__number", "round__case__title", "round__number", "approved_at", "deliveries__state",
            "deliveries__created_at"):
        if number not in found or found[number][1] < round:
            found[number] = title, round, approved, {}
        if state:
            found[number][3][state] = since
    said = [Stuck(number, title, _why(approved, states, now)) for number, (title, _, approved, states) in found.items()]
    return [one for one in said if one.words]


def _why(approved: datetime, states: dict[str, datetime], now: datetime) -> str:
    if S.UNKNOWN in states:
        return "unclear whether the letter arrived"
    if S.SENT in states or S.SENDING in states:
        return ""
    if S.QUEUED in states:
        return "the letter still waits to go out" if states[S.QUEUED] < now - QUEUED else ""
    if S.FAILED in states:
        return "letter not delivered"
    return "letter approved, but not sent" if approved < now - APPROVED else ""


def _questions(now: datetime) -> list[Stuck]:
    rows = _newest(Case.State.NEEDS_ANSWER, now, asked__has_key="mail", state_since__lt=now - ASKED)
    return [Stuck(number, title, "the question has not been mailed") for number, title in rows.values_list(
        "number", "title")]
