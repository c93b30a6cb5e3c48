"""Whose turn it is, how long it may take, and where in the queue that puts a case.

The clock of a round counts the time with us and the time with the rider apart: while the ball is with the rider, ours
stands still, and it goes on from there when the ball comes back.  A next round starts both anew.
"""
from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db.models import F
from django.utils import timezone

from intake.lanes import STEP, Lane, rank_of
from intake.models import Case, Round

S, Returned = Case.State, Case.Returned
OURS = frozenset({S.HANDED_IN, S.READY, S.WORKSHOP_ONLY})
"""The states that wait for us; the others wait for the rider, or have ended."""
ENDED = frozenset({S.CLOSED, S.WITHDRAWN})
STOP_TARGET, SHOP_TARGET = timedelta(hours=1), timedelta(hours=2)
TARGETS = {Returned.NOT: timedelta(hours=24), Returned.ANSWER: timedelta(hours=24), Returned.ROUND: timedelta(hours=48)}
"""How long a case may be with us.  Common practice, no source; the hours run through the night."""
AT_ONCE = 5000
"""Cases that one sweep calls overdue; the next one comes in a minute."""


def speaks_of_danger(summary: Mapping[str, Any] | None) -> bool:
    """Tell whether the rider's own words speak of a danger that no answer tells, by a case's ``summary``."""
    return bool((summary or {}).get("spoken"))


def target(
    case: Case, *, stop: bool | None = None, spoken: bool | None = None, returned: str | None = None,
) -> timedelta:
    """Return how long the case may be with us, by the most urgent of its reasons."""
    if (case.stop if stop is None else stop) or (speaks_of_danger(case.summary) if spoken is None else spoken):
        return STOP_TARGET
    by_kind = TARGETS[Returned(case.returned if returned is None else returned)]
    return min(by_kind, SHOP_TARGET) if case.shop_id else by_kind


def after_move(
    case: Case, to: str, now: datetime, *, stop: bool | None = None, summary: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Return the fields that a move of ``case`` to ``to`` writes: both clocks, when it is due, its rank.

    ``case`` must be as the database has it.  ``stop`` and ``summary`` where the move itself changes them.  Words that
    speak of a danger put a case among the overdue ones at once, behind the stop signs: they may mean what one does.
    """
    stop, spoken = case.stop if stop is None else stop, speaks_of_danger(case.summary if summary is None else summary)
    turn = _turn(case, to, now)
    due = turn["turn_since"] + target(case, stop=stop, spoken=spoken, returned=turn["returned"]) - turn["with_us"]
    lane = _lane(to, stop, turn["returned"], overdue=spoken or due < now)
    ours, stays = to in OURS, to == case.state
    hold = {} if ours or stays else {"held_until": None}
    moment = due if ours else case.state_since if stays else now
    return turn | hold | {"due_at": due if ours else None, "rank": rank_of(lane, moment)}


def _turn(case: Case, to: str, now: datetime) -> dict[str, Any]:
    """Return whose turn it is since when, and what the turns before took in this round."""
    before = {"turn_since": case.turn_since, "with_us": case.with_us, "with_rider": case.with_rider,
              "returned": case.returned}
    if to == S.COLLECTING and case.state != to:
        return before | {"turn_since": now, "with_us": timedelta(), "with_rider": timedelta(), "returned": Returned.NOT}
    if (case.state in OURS) == (to in OURS):
        return before
    whose = "with_us" if case.state in OURS else "with_rider"
    return before | {whose: before[whose] + (now - case.turn_since), "turn_since": now,
                     "returned": _returned(case) if to in OURS else Returned.NOT}


def _returned(case: Case) -> str:
    if case.state == S.NEEDS_ANSWER:
        return Returned.ANSWER
    later = case.state == S.COLLECTING and Round.objects.filter(case=case.pk, number__gt=1).exists()
    return Returned.ROUND if later else Returned.NOT


def _lane(state: str, stop: bool, returned: str, *, overdue: bool) -> Lane:
    if state in ENDED:
        return Lane.ENDED
    if state not in OURS:
        return Lane.RIDER
    if stop:
        return Lane.STOP
    if overdue:
        return Lane.OVERDUE
    return Lane.RETURNED if returned else Lane.WAITING


def call_overdue() -> int:
    """Move the cases whose time has run out into the overdue lane; return how many.  For the sweep, every minute."""
    now, moved = timezone.now(), 0
    for lane in (Lane.RETURNED, Lane.WAITING):
        late = Case.objects.filter(rank__gte=lane * STEP, rank__lt=rank_of(lane, now))
        some = late.order_by("rank").values("pk")[:AT_ONCE]
        moved += Case.objects.filter(pk__in=some, rank__gte=lane * STEP, rank__lt=rank_of(lane, now)).update(
            rank=F("rank") - (lane - Lane.OVERDUE) * STEP)
    return moved
