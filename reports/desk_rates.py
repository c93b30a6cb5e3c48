"""The base rates: what confirmed cases would make of them, looked at before a tuner makes it count, and taken back."""
from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from intake.errors import Refused
from reports import services as letters
from reports.desk_sign_in import lead_tuner, tuner
from reports.models import BaseRates
from reports.rates_preview import changes, rate_rows, rates_now
from reports.services.base_rates import may_decide

CONFLICT = 409
VERSIONS_SHOWN = 30


@tuner
@require_GET
def rates(request: HttpRequest) -> HttpResponse:
    """Old and new rate of every cause, and what that would change in the newest cases."""
    return _page(request)


def _page(request: HttpRequest, refused: Refused | None = None) -> HttpResponse:
    now, proposal = letters.current_rates(), letters.proposed_rates()
    found = changes(proposal.rates)
    return render(request, "reports/desk/rates.html", {
        "now": now, "proposal": proposal, "rows": rate_rows(rates_now(now.rates if now else None), proposal),
        "same": rates_now(now.rates if now else None) == proposal.rates, "refused": refused,
        "changed": [one for one in found if one.changes], "stay": [one for one in found if not one.changes],
        "looked_at": len(found), "may": may_decide(request.user),
        "versions": BaseRates.objects.order_by("-id")[:VERSIONS_SHOWN],
    }, status=CONFLICT if refused else 200)


@lead_tuner
@require_POST
def count_rates(request: HttpRequest) -> HttpResponse:
    """Let new drafts be made with the proposed rates."""
    cases, current = (request.POST.get(name, "") for name in ("cases", "current"))
    numbers = [int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None for text in (cases, current)]
    try:
        version = letters.make_rates_count(user=request.user, cases=numbers[0] or 0, current=numbers[1])
    except Refused as refused:
        return _page(request, refused)
    messages.success(request, f"Version {version.number} counts for every draft that is made from now on.")
    return redirect("base-rates")


@lead_tuner
@require_POST
def take_back(request: HttpRequest, version: int) -> HttpResponse:
    """Let the version before count again."""
    try:
        taken_back = letters.take_back_rates(version=version, user=request.user)
    except Refused as refused:
        return _page(request, refused)
    if taken_back:
        messages.success(request, "Taken back. New drafts are made with the version before it.")
    return redirect("base-rates")
