"""The tuner's queue: keyset pages over the model's own indexes, so that page 1000 costs what page 1 costs.

What waits for us stands in the order of ``Case.rank``: stop signs, then what is overdue, then what came back, then the
rest, and in each of these what is due first.  What is searched for stands newest first.
"""
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.base_user import AbstractBaseUser
from django.db.models import Q, QuerySet
from django.utils import timezone

from intake.errors import Refused
from intake.lanes import STEP, TO_DO, Lane
from intake.models import Case
from intake.search import found
from intake.wanted import ANY, Wanted

PAGE = 50
LOOKED_AT = 500
"""Cases with the right words that one page looks at where filters narrow them further."""
BIGGEST = 2**62
SHOWN = ("number", "title", "state", "rank", "language", "rider_name", "shop__name", "shop_job", "summary", "stop",
         "due_at", "turn_since", "with_us", "with_rider", "returned", "quiet_since", "holder__username", "held_until")
"""What a row shows; all else of a case stays in the database, where most of it weighs more."""


@dataclass(frozen=True)
class QueuePage:
    """Some cases in the queue's order, and the marks from which the pages beside it go on ("" where there is none)."""

    cases: list[Case]
    after: str = ""
    before: str = ""
    looked_at: int = 0
    """How many cases with the right words were looked at, where more of them lie further down."""


def queue_page(
    wanted: Wanted = Wanted(), *, user: AbstractBaseUser | None = None, after: str = "", before: str = "",  # noqa: B008
    size: int = PAGE,
) -> QueuePage:
    """Return one page of what is ``wanted``: behind the mark ``after``, in front of the mark ``before``, or the first.

    ``user`` is whose "mine" is.  One query, two for a search, whatever the page and however many cases there are.

    Raises ``Refused`` for a mark that the queue never gave.
    """
    mark = _mark(after or before) if after or before else None
    rows = narrowed(Case.objects.select_related("shop", "holder").only(*SHOWN), wanted, user)
    if wanted.q:
        return _searched(rows, wanted, mark, back=bool(before and not after), size=size)
    return _ranked(rows, mark, back=bool(before and not after), size=size)


def narrowed(rows: QuerySet[Case], wanted: Wanted, user: AbstractBaseUser | None = None) -> QuerySet[Case]:
    """Return ``rows`` as far as they meet every filter; words are not looked at here."""
    now = timezone.now()
    if wanted.state not in ("", ANY):
        rows = rows.filter(state=wanted.state)
    elif wanted.state != ANY and not wanted.q:
        rows = rows.filter(rank__lt=TO_DO)
    if wanted.whose:
        rows = rows.filter(holder=user) if wanted.whose == "mine" else rows.filter(free(now))
    if wanted.stop:
        rows = rows.filter(stop=True)
    if wanted.overdue:  # a stop sign has a time of its own, and stands before what is merely overdue
        rows = rows.filter(rank__lt=Lane.RETURNED * STEP, due_at__lt=now)
    equal = {"shop": wanted.shop, "language": wanted.language, "fork_kind": wanted.fork, "returned": wanted.returned}
    return rows.filter(**{name: value for name, value in equal.items() if value})


def free(now: datetime) -> Q:
    """Return the condition that nobody holds a case at this moment."""
    return Q(held_until__isnull=True) | Q(held_until__lt=now)


def _ranked(rows: QuerySet[Case], mark: tuple[int, int] | None, *, back: bool, size: int) -> QueuePage:
    if mark is not None:
        rows = rows.filter(_in_front_of(*mark) if back else _behind(*mark))
    order = ("-rank", "-id") if back else ("rank", "id")
    cases = list(rows.order_by(*order)[: size + 1])
    return _page(cases, size, back=back, is_first=mark is None, mark=_rank_mark)


def _behind(rank: int, pk: int) -> Q:
    """Everything behind a place.  The plain ``>=`` beside the exact rule is what an index can start from."""
    return Q(rank__gte=rank) & (Q(rank__gt=rank) | Q(id__gt=pk))


def _in_front_of(rank: int, pk: int) -> Q:
    return Q(rank__lte=rank) & (Q(rank__lt=rank) | Q(id__lt=pk))


def _searched(
    rows: QuerySet[Case], wanted: Wanted, mark: tuple[int, int] | None, *, back: bool, size: int,
) -> QueuePage:
    most = LOOKED_AT if set(wanted.as_query()) - {"q"} != set() else size + 1
    pk = mark[1] if mark else None
    ids = found(wanted.q, most=most, newer_than=pk) if back and pk else found(
        wanted.q, most=most, **({"older_than": pk} if pk else {}))
    cases = list(rows.filter(pk__in=ids).order_by("id" if back else "-id")[: size + 1])
    page = _page(cases, size, back=back, is_first=mark is None, mark=_id_mark)
    if len(ids) < most or len(cases) > size:
        return page
    # There may be more, though those that were looked at are used up: the next page goes on behind them.
    used_up = f"0_{ids[0] if back else ids[-1]}"
    return QueuePage(page.cases, page.after if back else used_up, used_up if back else page.before, most)


def _page(
    cases: list[Case], size: int, *, back: bool, is_first: bool, mark: Callable[[Case], str],
) -> QueuePage:
    more, cases = len(cases) > size, cases[:size]
    if back:
        cases.reverse()
    if not cases:
        return QueuePage([])
    first, last = mark(cases[0]), mark(cases[-1])
    if back:
        return QueuePage(cases, last, first if more else "")
    return QueuePage(cases, last if more else "", "" if is_first else first)


def _rank_mark(case: Case) -> str:
    return f"{case.rank}_{case.pk}"


def _id_mark(case: Case) -> str:
    return f"0_{case.pk}"


def _mark(typed: str) -> tuple[int, int]:
    parts = typed.split("_")
    if len(parts) != 2 or not all(part.isascii() and part.isdigit() and len(part) < 20 for part in parts):
        raise Refused("This place in the queue is not known.", "Go back to the beginning of the queue.")
    rank, pk = (min(int(part), BIGGEST) for part in parts)
    return rank, pk
