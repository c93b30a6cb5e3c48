"""Which state of a case may follow which: one table, and the one way to move."""
from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from intake import clock
from intake.models import Case, Round
from intake.signals import case_moved

S = Case.State

MOVES: dict[str, frozenset[str]] = {
    S.COLLECTING: frozenset({S.HANDED_IN, S.CLOSED, S.WITHDRAWN}),
    S.HANDED_IN: frozenset({S.READY, S.WORKSHOP_ONLY, S.NEEDS_ANSWER, S.CLOSED, S.WITHDRAWN}),
    S.READY: frozenset({S.WORKSHOP_ONLY, S.NEEDS_ANSWER, S.ADVISED, S.CLOSED, S.WITHDRAWN}),
    S.WORKSHOP_ONLY: frozenset({S.READY, S.NEEDS_ANSWER, S.ADVISED, S.COLLECTING, S.CLOSED, S.WITHDRAWN}),
    S.NEEDS_ANSWER: frozenset({S.HANDED_IN, S.CLOSED, S.WITHDRAWN}),
    S.ADVISED: frozenset({S.READY, S.WORKSHOP_ONLY, S.COLLECTING, S.CLOSED, S.WITHDRAWN}),
    S.CLOSED: frozenset(),
    S.WITHDRAWN: frozenset(),
}
"""From each state, where a case may go.  Back to collecting is the next round; back from advised is a letter taken back
before it went out."""

OPEN_FOR_ANSWERS = frozenset({S.COLLECTING, S.NEEDS_ANSWER})
ENDED = clock.ENDED


def sources(to: str) -> frozenset[str]:
    """Return the states from which a case may move to ``to``."""
    return frozenset(state for state, follow in MOVES.items() if to in follow)


def move(case: Case, to: str, **fields: Any) -> bool:
    """Move the case by one conditional UPDATE and say whether this call did it.

    False means that the case stood elsewhere, perhaps because a doubled click came first.  Inside a transaction the
    UPDATE also holds the row (SQLite: the database), so whatever follows is alone with the case; where
    ``select_for_update`` would do nothing on SQLite, this works on both.  The case's clocks, when it is due and its
    rank in the queue are written here and nowhere else.
    """
    hold(case)
    now = timezone.now()
    rows = Case.objects.filter(pk=case.pk, state=case.state, state__in=sources(to))
    moved = rows.update(state=to, state_since=now, quiet_since=None, **clock.after_move(case, to, now), **fields) == 1
    case.refresh_from_db()
    if moved:
        case_moved.send(sender=Case, case=case)
    return moved


def rank_anew(case: Case, **fields: Any) -> None:
    """Write ``fields`` that say how urgent a case is, such as its stop sign, and what follows from them."""
    hold(case)
    follows = clock.after_move(case, case.state, timezone.now(), stop=fields.get("stop"),
                               summary=fields.get("summary"))
    Case.objects.filter(pk=case.pk).update(**{**follows, **fields})
    case.refresh_from_db()


def open_round(round: Round) -> QuerySet[Round]:
    """Return the round as a query that is empty once it no longer takes answers.

    Every condition on the round itself stands in the UPDATE, and only the case's state in a subquery.  A plain join
    would make Django move them all into a subquery, and PostgreSQL does not look at that again after it has waited for
    another writer: the older save would win unseen.
    """
    return Round.objects.filter(pk=round.pk, handed_in_at__isnull=True,
                                case__in=Case.objects.filter(state__in=OPEN_FOR_ANSWERS))


def hold(case: Case) -> None:
    """Hold the case's row until the transaction ends, then read it afresh."""
    Case.objects.filter(pk=case.pk).update(number=case.number)
    case.refresh_from_db()
