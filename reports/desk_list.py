"""The tuner's queue as pages: the list, its filters, and taking the next case."""
from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from intake import services as cases
from intake.errors import Refused
from intake.models import Shop
from intake.queue import QueuePage, queue_page
from intake.search import FORK_KINDS
from intake.wanted import STATES, WHOSE, Wanted, wanted_from
from reports.desk_frame import RETURNED, Frame, Look, framed
from reports.desk_queue import drawn, rows
from reports.desk_sign_in import tuner
from reports.desk_stuck import stuck_mail

UNREADABLE = 422
MOST_SHOPS = 500


@tuner
@require_GET
def queue(request: HttpRequest) -> HttpResponse:
    """The cases that wait for us in the order in which they should be done, or whatever is asked for."""
    after, before = request.GET.get("after", ""), request.GET.get("before", "")
    try:
        wanted = wanted_from(request.GET)
        page = queue_page(wanted, user=request.user, after=after, before=before)
    except Refused as refused:
        return _list(request, Wanted(), QueuePage([]), refused=(refused.problem, refused.mend))
    plain = not (after or before or wanted.as_query())
    return _list(request, wanted, page, stuck=tuple(stuck_mail(timezone.now())) if plain else ())


def _list(request: HttpRequest, wanted: Wanted, page: QueuePage, **more: Any) -> HttpResponse:
    shown = rows(page.cases, timezone.now(), request.user)
    asked = wanted.as_query()
    ticked, shop = request.GET.get("ticked") == "all", page.cases[0].shop if wanted.shop and page.cases else None
    frame = Frame(
        user=request.user.get_username(), path=request.path, asked=request.GET.urlencode(), wanted=wanted,
        after=page.after, before=page.before, looked_at=page.looked_at, any_rows=bool(shown), all_ticked=ticked,
        shop=shop.name if shop else "one shop",
        views=tuple(Look(view.name, urlencode(view.query), view.query == asked)
                    for view in request.user.saved_views.all()),
        erased=_erased(wanted.q) if wanted.q and not shown else "",
        messages=tuple(str(message) for message in messages.get_messages(request)), **more)
    return HttpResponse(framed(frame, drawn(shown, ticked), get_token(request)),
                        status=UNREADABLE if frame.refused else 200)


def _erased(number: str) -> str:
    left = cases.erased(number=number)
    return left.number if left else ""


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
