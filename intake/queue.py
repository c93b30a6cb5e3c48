"""The tuner's queue: keyset pages over the model's own index, so that page 1000 costs what page 1 costs."""
from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from heapq import merge
from itertools import islice

from django.db.models import Q, QuerySet
from django.utils.dateparse import parse_datetime

from intake.errors import Refused
from intake.models import Case

OURS = (Case.State.READY, Case.State.WORKSHOP_ONLY, Case.State.HANDED_IN)
"""The states that wait for us, not for the rider: what the queue shows unless asked for another state."""
PAGE = 50
Place = tuple[bool, datetime, int]


@dataclass(frozen=True)
class QueuePage:
    """Some cases in the queue's order, and the mark from which the next page goes on ("" at the end)."""

    cases: list[Case]
    after: str


def queue_page(*, state: str = "", search: str = "", after: str = "", size: int = PAGE) -> QueuePage:
    """Return one page of the queue: stop signs first, then whoever waits longest.

    Without ``state`` the cases that wait for us; with ``search`` (a number, a shop's job or words of the title) cases
    in any state unless one is named.  One query per state that waits for us, one in all for a state or a search.

    Raises ``Refused`` for a state or a mark that the queue never gave.
    """
    if state and state not in Case.State.values:
        raise Refused(f"There is no state '{state[:40]}'.", "Pick a state from the list.")
    place = _place(after) if after else None
    states = (state,) if state or search.strip() else OURS
    streams = [_in_state(each, search, place, size) for each in states]
    found = list(islice(merge(*streams, key=_order), size + 1))
    more = len(found) > size
    return QueuePage(found[:size], _mark(found[size - 1]) if more else "")


def _in_state(state: str, search: str, place: Place | None, size: int) -> QuerySet[Case]:
    rows = Case.objects.select_related("shop")
    if state:
        rows = rows.filter(state=state)
    if search.strip():
        rows = _searched(rows, search.strip())
    if place is not None:
        rows = rows.filter(_later(place))
    return rows.order_by("-stop", "state_since", "id")[: size + 1]


def _searched(rows: QuerySet[Case], words: str) -> QuerySet[Case]:
    words = words.replace("\x00", "")
    return rows.filter(Q(number__iexact=words) | Q(shop_job__iexact=words) | Q(title__icontains=words))


def _later(place: Place) -> Q:
    """Everything behind ``place``.  The plain ``>=`` beside the exact rule is what an index can start from."""
    stop, since, pk = place
    behind = Q(stop=stop, state_since__gte=since) & (Q(state_since__gt=since) | Q(id__gt=pk))
    return behind | Q(stop=False) if stop else behind


def _order(case: Case) -> tuple[bool, datetime, int]:
    return (not case.stop, case.state_since, case.pk)


def _mark(case: Case) -> str:
    return f"{int(case.stop)}_{case.state_since.isoformat()}_{case.pk}"


def _place(mark: str) -> Place:
    stop, _, rest = mark.partition("_")
    moment, _, pk = rest.rpartition("_")
    since = _moment(moment)
    if stop not in ("0", "1") or since is None or not (pk.isascii() and pk.isdigit()):
        raise Refused("This place in the queue is not known.", "Go back to the beginning of the queue.")
    return stop == "1", since, min(int(pk[:18]), 2**62)


def _moment(typed: str) -> datetime | None:
    try:
        moment = parse_datetime(typed)
        return moment.astimezone(UTC) if moment and moment.tzinfo else None
    except (ValueError, OverflowError):  # no such day, or none that is still in the calendar in UTC
        return None
