"""The rider's pages around the form: the door, the private link, the case, the check and the hand-in."""
from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from analysis.document import CaseFaults
from intake import services
from intake.access import cases_in
from intake.earlier_pages import earlier_cases, offer_picked
from intake.errors import Refused
from intake.models import Case, Round
from intake.pages import revision_in
from intake.services.offering import open_offers
from intake.sheets import Sheet, sheet_for
from intake.shown_once import salt_of_page
from intake.tokens import new_token

FRESH_LINK = "fresh-link"
"""In the session for one page view: the token of a link that was just made."""
get_or_post = require_http_methods(["GET", "HEAD", "POST"])


@require_GET
@never_cache
def home(request: HttpRequest) -> HttpResponse:
    """Show what this is, three doors, and the cases that this browser has entered."""
    return render(request, "intake/home.html", {"cases": list(cases_in(session=request.session)[:10])})


@get_or_post
@never_cache
def case_start(request: HttpRequest) -> HttpResponse:
    """Start a case, enter it and show its private link once."""
    if request.method != "POST":
        return render(request, "intake/start.html", _start_form(request))
    typed = {name: request.POST.get(name, "") for name in ("rider_name", "rider_email")}
    try:
        case, token, has_news = services.start_case_once(
            token=request.POST.get("once", ""), language=get_language() or "", **typed)
    except Refused as refused:
        context = _start_form(request) | {"typed": typed, "refused": refused}
        return render(request, "intake/start.html", context, status=422)
    if has_news:
        services.save_time_zone(case=case, zone=request.POST.get("time_zone", ""))
        offer_picked(request, case)
    _enter_with_fresh_link(request, case, token)
    if has_news:
        services.mail_asked_link(case=case)
    return redirect("show-link", case.number)


def _start_form(request: HttpRequest) -> dict[str, Any]:
    """Return what the form shows; whoever was here before need not type name and address again."""
    mine = earlier_cases(request)
    typed = {"rider_name": mine[0].rider_name, "rider_email": mine[0].rider_email} if mine else {}
    return {"typed": typed, "once": new_token(), "earlier_cases": mine}


@get_or_post
@never_cache
def open_link(request: HttpRequest, token: str) -> HttpResponse:
    """Show a button; only the button exchanges the link for this browser's way in."""
    answer = _entered(request, token) if request.method == "POST" else _opened(request, token)
    # The token stands in this page's address, so no other page is told it.  Not "no-referrer": with that a browser
    # sends "Origin: null" along with the button, which the check against forged requests has to refuse.
    answer["Referrer-Policy"] = "strict-origin"
    return answer


def _opened(request: HttpRequest, token: str) -> HttpResponse:
    case = services.case_for_token(token=token)
    if case is None:
        return render(request, "intake/link_stale.html", status=410)
    return render(request, "intake/link_open.html", {"case": case})


def _entered(request: HttpRequest, token: str) -> HttpResponse:
    try:
        case = services.enter(token=token, session=request.session)
    except Refused as refused:
        return render(request, "intake/link_stale.html", {"refused": refused}, status=410)
    services.save_time_zone(case=case, zone=request.POST.get("time_zone", ""))
    return redirect("case-page", case.number)


@get_or_post
@never_cache
def ask_link(request: HttpRequest) -> HttpResponse:
    """Mail a fresh link.  The answer is the same whether case and address are known or not."""
    if request.method != "POST":
        return render(request, "intake/link_stale.html", {"lost": True})
    services.ask_for_link(number=request.POST.get("number", ""), email=request.POST.get("email", ""))
    return render(request, "intake/link_asked.html")


@get_or_post
@never_cache
def show_link(request: HttpRequest, number: str) -> HttpResponse:
    """Show the private link once, right after it was made; a POST makes a fresh one and ends the old ones."""
    sheet = sheet_for(request, number)
    case = sheet.case
    if request.method == "POST":
        _enter_with_fresh_link(request, case, services.renew_link(case=case, salt=salt_of_page(request, case)))
        return redirect("show-link", case.number)
    token = request.session.pop(FRESH_LINK, {}).get(case.number)
    address = request.build_absolute_uri(reverse("open-link", args=[token])) if token else ""
    return render(request, "intake/link_show.html", {"case": case, "sheet": sheet, "address": address})


@get_or_post
@never_cache
def contact(request: HttpRequest, number: str) -> HttpResponse:
    """Change the name and the address that answers go to."""
    sheet = sheet_for(request, number)
    case, shown = sheet.case, {"case": sheet.case, "sheet": sheet}
    typed = {"rider_name": case.rider_name, "rider_email": case.rider_email}
    if request.method != "POST":
        return render(request, "intake/contact.html", shown | {"typed": typed})
    typed = {name: request.POST.get(name, "") for name in typed}
    try:
        services.save_contact(case=case, **typed)
    except Refused as refused:
        return render(request, "intake/contact.html", shown | {"typed": typed, "refused": refused}, status=422)
    messages.success(request, _("Saved: name and e-mail."))
    return redirect("case-page", case.number)


@require_GET
@never_cache
def case_page(request: HttpRequest, number: str) -> HttpResponse:
    """Show where the case stands and the way through its pages."""
    sheet = sheet_for(request, number)
    if number != sheet.case.number:  # typed in small letters: what the phone keeps lies under the case's own address
        return redirect("case-page", sheet.case.number)
    return _case_page(request, sheet)


@get_or_post
@never_cache
def changes(request: HttpRequest, number: str) -> HttpResponse:
    """Ask what was really changed on the bike since the last letter."""
    sheet = sheet_for(request, number)
    words, done = (request.POST.get(name, getattr(sheet.round, name)) for name in ("changes", "done"))
    shown = {"sheet": sheet, "words": words, "done": done, "choices": Round.Done.choices}
    if request.method != "POST":
        return render(request, "intake/changes.html", shown)
    try:
        services.save_changes(round=sheet.round, words=words, done=done)
    except Refused as refused:
        return render(request, "intake/changes.html", shown | {"refused": refused}, status=409)
    messages.success(request, _("Saved: what was changed."))
    return redirect("case-page", sheet.case.number)


@require_GET
@never_cache
def check(request: HttpRequest, number: str) -> HttpResponse:
    """Show every answer at a glance, with what is wrong, doubtful or missing."""
    return _check(request, sheet_for(request, number))


@require_POST
def hand_in(request: HttpRequest, number: str) -> HttpResponse:
    """Hand the round in; a doubled click comes to the same page and nothing happens twice."""
    sheet = sheet_for(request, number)
    try:
        services.hand_in(round=sheet.round, who="rider", revision=revision_in(request),
                         since=request.POST.get("since", ""))
    except CaseFaults:
        return _check(request, sheet_for(request, number), status=422)
    except Refused as refused:
        return _check(request, sheet_for(request, number), refused, status=409)
    return redirect("received", sheet.case.number)


@require_GET
@never_cache
def received(request: HttpRequest, number: str) -> HttpResponse:
    """Say that the answers are here; they are: the hand-in was committed before this page."""
    sheet = sheet_for(request, number)
    if sheet.is_open:
        return redirect("case-page", sheet.case.number)
    return render(request, "intake/received.html", {"sheet": sheet})


@require_POST
def next_round(request: HttpRequest, number: str) -> HttpResponse:
    """Open the next round: answers stay, bench tests and safety signs are asked anew."""
    sheet = sheet_for(request, number)
    try:
        opened: Round = services.open_next_round(case=sheet.case, who="rider")
    except Refused as refused:
        return _case_page(request, sheet, refused, status=409)
    return redirect("changes" if not opened.changes else "case-page", sheet.case.number)


@get_or_post
@never_cache
def withdraw(request: HttpRequest, number: str) -> HttpResponse:
    """Ask once more, then withdraw the case."""
    sheet = sheet_for(request, number)
    if request.method != "POST":
        return render(request, "intake/withdraw.html", {"sheet": sheet})
    try:
        services.withdraw(case=sheet.case)
    except Refused as refused:
        return _case_page(request, sheet_for(request, number), refused, status=409)
    return redirect("case-page", sheet.case.number)


def _enter_with_fresh_link(request: HttpRequest, case: Case, token: str) -> None:
    services.enter(token=token, session=request.session)
    request.session[FRESH_LINK] = {case.number: token}


def _case_page(request: HttpRequest, sheet: Sheet, refused: Refused | None = None, status: int = 200) -> HttpResponse:
    had_letter = sheet.case.state in (Case.State.ADVISED, Case.State.CLOSED) or sheet.round.number > 1
    context = {"sheet": sheet, "refused": refused, "had_letter": had_letter, "offers": len(open_offers(sheet.round)),
               "earlier_cases": earlier_cases(request, sheet.case)}
    return render(request, "intake/case.html", context, status=status)


def _check(request: HttpRequest, sheet: Sheet, refused: Refused | None = None, status: int = 200) -> HttpResponse:
    context = {"sheet": sheet, "refused": refused, "tried": status != 200,
               "places": [station for station in sheet.way.stations if station.begun or station.not_needed]}
    return render(request, "intake/check.html", context, status=status)
