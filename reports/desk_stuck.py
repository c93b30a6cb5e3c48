"""What should be out and is not: letters and questions whose mail is stuck.

Such a case waits for its rider as far as its state goes, and so has left the queue: nobody would look at it again.
"""
from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from django.db.models import QuerySet

from intake.lanes import Lane, rank_of
from intake.models import Case
from reports.models import Delivery

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


class Line(NamedTuple):
    """A case with one of its letters and one of that letter's deliveries, as far as there are any."""

    number: str
    title: str
    state: str
    rank: int
    round: int
    letter: int | None
    approved: datetime | None
    replaces: int | None
    """The letter that it replaces, once approved."""
    delivery: int | None
    mail: str | None
    since: datetime | None


COLUMNS = ("number", "title", "state", "rank", "rounds__number", *(f"rounds__letters__{name}" for name in (
    "id", "approved_at", "replaces_id", "deliveries__id", "deliveries__state", "deliveries__created_at")))


def stuck_mail(now: datetime) -> list[Stuck]:
    """Return the cases whose letter or question has not gone out; one query."""
    lines = [Line(*line) for line in _newest(Case.State.ADVISED, now).union(
        _newest(Case.State.NEEDS_ANSWER, now, asked__has_key="mail", state_since__lt=now - ASKED), all=True)]
    return [*_letters(lines, now), *_questions(lines)]


def _newest(state: str, now: datetime, **more: Any) -> QuerySet[Case, tuple[Any, ...]]:
    """Return a line for each letter and delivery of a state's newest cases.

    Which cases those are is settled within, and all else hangs on them: joined in any other order it takes seconds.
    """
    rows = Case.objects.filter(state=state, rank__gte=rank_of(Lane.RIDER, now - LOOK_BACK), **more).exclude(
        rider_email="").order_by("-rank")[:NEWEST]
    return Case.objects.filter(pk__in=rows.values("pk")).order_by().values_list(*COLUMNS)


def _letters(lines: list[Line], now: datetime) -> list[Stuck]:
    approved = [line for line in lines if line.state == Case.State.ADVISED and line.approved]
    replaced = {line.replaces for line in approved}  # found here: SQLite looks through all letters for each one's
    standing = [line for line in approved if line.letter not in replaced]
    found: dict[str, tuple[str, int, datetime, dict[str, datetime]]] = {}
    for line in sorted(standing, key=lambda one: (one.round, one.letter, one.delivery or 0)):
        if line.number not in found or found[line.number][1] < line.round:
            found[line.number] = line.title, line.round, line.approved, {}
        if line.mail:
            found[line.number][3][line.mail] = line.since
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


def _questions(lines: list[Line]) -> list[Stuck]:
    asked = sorted({(-line.rank, line.number, line.title) for line in lines if line.state == Case.State.NEEDS_ANSWER})
    return [Stuck(number, title, "the question has not been mailed") for _, number, title in asked]
