"""The tuner's queue as pages: the list, its filters, and taking the next case."""
from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html_join
from django.utils.http import urlencode
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET, require_POST

from intake import services as cases
from intake.errors import Refused
from intake.models import Case, Shop
from intake.queue import QueuePage, queue_page
from intake.search import FORK_KINDS
from intake.wanted import ON, STATES, WHOSE, Wanted, wanted_from
from reports.desk_queue import Row, drawn, rows
from reports.desk_sign_in import tuner
from reports.desk_stuck import stuck_mail

UNREADABLE = 422
MOST_SHOPS = 500
RETURNED = {"": "whatever", Case.Returned.ANSWER: "the rider answered", Case.Returned.ROUND: "tried, and wrote back"}
QUICK: tuple[tuple[str, dict[str, str]], ...] = (
    ("To do", {}), ("Mine", {"whose": "mine"}), ("Nobody's", {"whose": "nobody"}), ("Stop signs", {"stop": ON}),
    ("Overdue", {"overdue": ON}), ("Answered", {"returned": Case.Returned.ANSWER}),
    ("Tried", {"returned": Case.Returned.ROUND}),
)
"""The looks at the queue that every day needs."""
SELECTED, CURRENT = mark_safe(" selected"), mark_safe(' aria-current="page"')


@dataclass(frozen=True)
class Look:
    """A link to one look at the queue."""

    title: str
    query: str
    here: bool = False


@tuner
@require_GET
def queue(request: HttpRequest) -> HttpResponse:
    """The cases that wait for us in the order in which they should be done, or whatever is asked for."""
    after, before = request.GET.get("after", ""), request.GET.get("before", "")
    try:
        wanted = wanted_from(request.GET)
        page = queue_page(wanted, user=request.user, after=after, before=before)
    except Refused as refused:
        return _list(request, Wanted(), QueuePage([]), refused=refused, status=UNREADABLE)
    plain = not (after or before or wanted.as_query())
    return _list(request, wanted, page, deep=bool(after or before), stuck=stuck_mail(timezone.now()) if plain else ())


def _list(request: HttpRequest, wanted: Wanted, page: QueuePage, *, status: int = 200, **more: Any) -> HttpResponse:
    asked, shown = wanted.as_query(), rows(page.cases, timezone.now(), request.user)
    here, all_ticked = urlencode(asked), request.GET.get("ticked") == "all"
    return render(request, "reports/desk/queue.html", {
        "wanted": wanted, "rows": shown, "page": page, "states": _states(wanted.state), "here": here,
        "looks": _looks(request.path, here),
        "views": [Look(view.name, urlencode(view.query), view.query == asked)
                  for view in request.user.saved_views.all()],
        "filters": _filters(wanted, page.cases), "kept": wanted.without("q").items(),
        "erased": cases.erased(number=wanted.q) if wanted.q and not shown else None,
        "older": urlencode({**asked, "after": page.after}) if page.after else "",
        "newer": urlencode({**asked, "before": page.before}) if page.before else "",
        "all_ticked": all_ticked, "drawn": drawn(shown, all_ticked), "with_ticks": _with_ticks(request, shown), **more,
    }, status=status)


@lru_cache(maxsize=100)
def _states(chosen: str) -> SafeString:
    """Return the states to choose from; they are the same on every page, as are the links of every day."""
    return format_html_join("", '<option value="{}"{}>{}</option>', (
        (value, SELECTED if value == chosen else "", title) for value, title in STATES.items()))


@lru_cache(maxsize=100)
def _looks(path: str, here: str) -> SafeString:
    """Return the links to what every day needs; ``here`` is what is looked at."""
    looks = ((title, urlencode(query)) for title, query in QUICK)
    return format_html_join("", '<a href="{}{}"{}>{}</a>', (
        (path, f"?{query}" if query else "", CURRENT if query == here else "", title) for title, query in looks))


def _with_ticks(request: HttpRequest, shown: list[Row]) -> str:
    """Return the address of this very page with every row ticked, for whoever has no keyboard at hand."""
    asked = request.GET.copy()
    asked["ticked"] = "all"
    return asked.urlencode() if shown else ""


def _filters(wanted: Wanted, shown: list[Case]) -> list[Look]:
    """Return what narrows the queue, each as a link that takes it away."""
    named = {
        "state": STATES.get(wanted.state, ""), "whose": WHOSE[wanted.whose], "stop": "stop signs", "overdue": "overdue",
        "returned": RETURNED.get(wanted.returned, ""), "language": dict(settings.LANGUAGES).get(wanted.language, ""),
        "fork": FORK_KINDS.get(wanted.fork, ""), "q": f"“{wanted.q}”",
        "shop": shown[0].shop.name if wanted.shop and shown and shown[0].shop else "one shop",
    }
    return [Look(named[name], urlencode(wanted.without(name))) for name in wanted.as_query()]


@tuner
@require_GET
def filters(request: HttpRequest) -> HttpResponse:
    """All that the queue can be narrowed to, on one sheet."""
    try:
        wanted, refused = wanted_from(request.GET), None
    except Refused as problem:
        wanted, refused = Wanted(), problem
    return render(request, "reports/desk/filters.html", {
        "wanted": wanted, "refused": refused, "states": STATES.items(), "whose": WHOSE.items(),
        "returned": RETURNED.items(), "languages": settings.LANGUAGES, "forks": FORK_KINDS.items(),
        "shops": Shop.objects.order_by("name").values_list("pk", "name")[:MOST_SHOPS],
    }, status=UNREADABLE if refused else 200)


@tuner
@require_POST
def take_next(request: HttpRequest) -> HttpResponse:
    """Take the first drafted case that nobody holds, and go to it."""
    case = cases.take_next(user=request.user)
    if case is None:
        messages.info(request, "Nothing waits for you that nobody holds. Cases still being drafted are below.")
        return redirect("queue")
    messages.success(request, f"You have {case.number} now.")
    return redirect("desk-case", case.number)


def queue_address(query: str) -> str:
    """Return the queue's address with the filters that a form carried along."""
    asked = QueryDict(query)
    try:
        words = urlencode(wanted_from(asked).as_query())
    except Refused:
        words = ""
    return f"{reverse('queue')}?{words}" if words else reverse("queue")
