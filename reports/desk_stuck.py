"""What should be out and is not: letters and questions whose mail is stuck.

Such a case waits for its rider as far as its state goes, and so has left the queue: nobody would look at it again.
"""
from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any, NamedTuple

from django.db.models import Q, QuerySet

from intake.lanes import Lane, rank_of
from intake.models import Case
from reports.models import Delivery
from reports.worded import Worded, answers, worded

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
    replaces: int | None
    """The letter that it replaces, once approved."""
    delivery: int | None
    mail: str | None
    approved: bool
    long_approved: bool
    long_queued: bool
    """Its delivery is older than one that is merely on its way."""


COLUMNS = ("number", "title", "state", "rank", "rounds__number", *(f"rounds__letters__{name}" for name in (
    "id", "replaces_id", "deliveries__id", "deliveries__state")))


def stuck_mail(now: datetime) -> list[Stuck]:
    """Return the cases whose letter or question has not gone out, to the minute; one query."""
    lines = [Line(*line) for line in answers(*_asked_for(now.replace(second=0, microsecond=0)))]
    return [*_letters(lines), *_questions(lines)]


@lru_cache(maxsize=1)
def _asked_for(now: datetime) -> Worded:
    return worded(_newest(Case.State.ADVISED, now).union(
        _newest(Case.State.NEEDS_ANSWER, now, asked__has_key="mail", state_since__lt=now - ASKED), all=True))


def _newest(state: str, now: datetime, **more: Any) -> QuerySet[Case, tuple[Any, ...]]:
    """Return a line for each letter and delivery of a state's newest cases.

    Which cases those are is settled within, and all else hangs on them: joined in any other order it takes seconds.
    What is old is told within as well, where times can be compared.
    """
    rows = Case.objects.filter(state=state, rank__gte=rank_of(Lane.RIDER, now - LOOK_BACK), **more).exclude(
        rider_email="").order_by("-rank")[:NEWEST]
    letter = "rounds__letters__"
    return Case.objects.filter(pk__in=rows.values("pk")).order_by().values_list(
        *COLUMNS, Q(**{f"{letter}approved_at__isnull": False}),
        Q(**{f"{letter}approved_at__lt": now - APPROVED}), Q(**{f"{letter}deliveries__created_at__lt": now - QUEUED}))


def _letters(lines: list[Line]) -> list[Stuck]:
    approved = [line for line in lines if line.state == Case.State.ADVISED and line.approved]
    replaced = {line.replaces for line in approved}  # found here: SQLite looks through all letters for each one's
    standing = [line for line in approved if line.letter not in replaced]
    found: dict[str, tuple[Line, dict[str, Line]]] = {}
    for line in sorted(standing, key=lambda one: (one.round, one.letter, one.delivery or 0)):
        if line.number not in found or found[line.number][0].round < line.round:
            found[line.number] = line, {}
        if line.mail:
            found[line.number][1][line.mail] = line
    said = [Stuck(letter.number, letter.title, _why(letter, mails)) for letter, mails in found.values()]
    return [one for one in said if one.words]


def _why(letter: Line, mails: dict[str, Line]) -> str:
    if S.UNKNOWN in mails:
        return "unclear whether the letter arrived"
    if S.SENT in mails or S.SENDING in mails:
        return ""
    if S.QUEUED in mails:
        return "the letter still waits to go out" if mails[S.QUEUED].long_queued else ""
    if S.FAILED in mails:
        return "letter not delivered"
    return "letter approved, but not sent" if letter.long_approved else ""


def _questions(lines: list[Line]) -> list[Stuck]:
    asked = sorted({(-line.rank, line.number, line.title) for line in lines if line.state == Case.State.NEEDS_ANSWER})
    return [Stuck(number, title, "the question has not been mailed") for _, number, title in asked]
