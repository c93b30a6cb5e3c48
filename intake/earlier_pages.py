"""The page for a rider who was here before: which case and bike, then what is still right, one answer at a time."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_date
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from analysis.catalogue import SECTIONS
from intake import services
from intake.access import case_for, cases_in
from intake.errors import Refused
from intake.form import Field, fields_of, rows
from intake.models import Case, Round
from intake.paths import put
from intake.services.offering import open_offers
from intake.sheets import Sheet, sheet_for
from intake.words import translated

MOST = 5
"""Earlier cases to pick from."""


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def earlier(request: HttpRequest, number: str) -> HttpResponse:
    """Pick an earlier case, then confirm its answers one by one and say what has changed since."""
    sheet = sheet_for(request, number)
    if not sheet.is_open:
        return redirect("case-page", sheet.case.number)
    if request.method != "POST":
        return _shown(request, sheet)
    if "earlier" in request.POST:
        offer_picked(request, sheet.case)
        return redirect("earlier", sheet.case.number)
    return _confirmed(request, sheet)


def earlier_cases(request: HttpRequest, case: Case | None = None) -> list[Case]:
    """Return the other cases that this browser has entered, newest first."""
    others = cases_in(session=request.session)
    return list((others.exclude(pk=case.pk) if case else others)[:MOST])


def offer_picked(request: HttpRequest, case: Case) -> None:
    """Offer the answers of the case that was picked, where one was; it has to be one of this browser's own."""
    which, _colon, number = request.POST.get("earlier", "").partition(":")
    if which not in ("same", "other"):
        return
    try:
        old = case_for(number=number, session=request.session)
    except Http404:
        return
    if old.pk != case.pk:
        services.offer_earlier(round=case.current_round, earlier=old, same_bike=which == "same")


def _shown(request: HttpRequest, sheet: Sheet, refused: Refused | None = None) -> HttpResponse:
    return render(request, "intake/earlier.html", {
        "sheet": sheet, "places": offered_places(sheet.round), "offered": sheet.round.offered, "refused": refused,
        "day": parse_date(sheet.round.offered.get("date", "")), "earlier_cases": earlier_cases(request, sheet.case),
        "words": request.POST.get("changes", sheet.round.changes)}, status=409 if refused else 200)


def offered_places(round: Round) -> list[tuple[str, list[Field]]]:
    """Return the offered answers that are still to be confirmed, page by page, in the form's order."""
    document: dict[str, Any] = {}
    offers: Mapping[str, Any] = open_offers(round)
    for path, raw in offers.items():
        put(document, path, raw, {})
    places = []
    for section in SECTIONS:
        fields = [field for field in fields_of(rows(section.questions, document)) if field.path in offers]
        if fields:
            places.append((translated(section.title), fields))
    return places


def _confirmed(request: HttpRequest, sheet: Sheet) -> HttpResponse:
    right = request.POST.getlist("right")
    try:
        fresh = services.confirm_offers(round=sheet.round, paths=right, forget_rest="forget" in request.POST)
        services.save_changes(round=fresh, words=request.POST.get("changes"))
    except Refused as refused:
        return _shown(request, sheet, refused)
    messages.success(request, ngettext("%(number)d answer taken over.", "%(number)d answers taken over.",
                                       len(right)) % {"number": len(right)})
    done = "forget" in request.POST or not open_offers(Round.objects.get(pk=fresh.pk))
    return redirect("case-page" if done else "earlier", sheet.case.number)
