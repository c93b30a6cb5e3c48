"""Other numbers tried under the finger, and one press that puts them into the letter and the service sheet."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from intake import services as cases
from intake.errors import Refused
from intake.models import Case, Round
from reports import services as letters
from reports.desk_sign_in import signed_in, tuner
from reports.desk_views import CONFLICT, UNREADABLE, case_address, chosen_round
from reports.models import Draft
from reports.sheet_under import lay_under
from reports.tried import FIELDS, read_tried, try_numbers
from reports.try_context import can_put, standing_numbers
from reports.try_panel import panel
from reports.try_result import shown


def draft_of(round: Round) -> Draft:
    """Return the draft that a trial rests on; a round without one has nothing to try."""
    draft = Draft.objects.filter(round=round).order_by("-revision", "-id").first()
    if draft is None:
        raise Http404("There is no draft yet.")
    return draft


def start_of(draft: Draft) -> Mapping[str, Any]:
    """Return where the sliders start; a draft from before there were any has it worked out."""
    if draft.start:
        return dict(draft.start)
    return dict(try_numbers(lay_under(draft.round).document, draft.findings, {})["numbers"])


@signed_in
@require_GET
def what_if_answer(request: HttpRequest, number: str) -> HttpResponse:
    """Answer one move of a slider.  Nothing is saved; what cannot be read is said in a sentence."""
    round = chosen_round(request, cases.case_for(user=request.user, number=number))
    try:
        return JsonResponse(_tried(request.GET, draft_of(round)))
    except Refused as refused:
        return JsonResponse({"problem": refused.problem, "mend": refused.mend}, status=UNREADABLE)


def _tried(typed: Mapping[str, str], draft: Draft) -> dict[str, Any]:
    start, document = start_of(draft), lay_under(draft.round).document
    tried = read_tried(typed, start)
    return shown(try_numbers(document, draft.findings, tried.chosen, tried.changes, tried.conditions))


@signed_in
@require_http_methods(["GET", "POST"])
def try_page(request: HttpRequest, number: str) -> HttpResponse:
    """The same without a script: a form, a button, and the curves drawn here."""
    case = cases.case_for(user=request.user, number=number)
    round = chosen_round(request, case)
    return _page(request, case, round, draft_of(round))


def _page(request: HttpRequest, case: Case, round: Round, draft: Draft, refused: Refused | None = None,
          ) -> HttpResponse:
    status = CONFLICT if refused else 200
    typed = request.POST if request.method == "POST" else None
    try:
        start = start_of(draft)
        result = _tried(typed or _standing(start), draft)
    except Refused as problem:
        refused, status, result = refused or problem, status if refused else UNREADABLE, None
        start = draft.start
    return render(request, "reports/desk/try.html", {
        "case": case, "round": round, "draft": draft, "result": result, "refused": refused,
        "tuners_numbers": standing_numbers(draft), "can_put": can_put(case, round, draft),
        "trying": panel(start, typed)}, status=status)


def _standing(start: Mapping[str, Any]) -> dict[str, str]:
    """Return the numbers that stand in the draft, as they would be typed."""
    return {name: str(value) for name, value in (start.get("chosen") or {}).items()
            if name in FIELDS and value is not None}


@tuner
@require_POST
def put_numbers(request: HttpRequest, number: str) -> HttpResponse:
    """Put the numbers, or the engine's own again, into the letter and the service sheet."""
    case = cases.case_for(user=request.user, number=number)
    round = chosen_round(request, case)
    draft = draft_of(round)
    try:
        tried = read_tried({} if "engines" in request.POST else request.POST, start_of(draft))
        if tried.conditions_moved:
            raise Refused("Rider, load, height, warmth or exponents are moved; a letter rests on the answers.",
                          "Put them back to as told, or ask the rider for the right ones.")
        letters.choose_numbers(round=round, revision=_revision(request), chosen=tried.chosen,
                               reason=request.POST.get("reason", ""), user=request.user)
    except Refused as refused:
        case.refresh_from_db()
        return _page(request, case, round, draft, refused)
    messages.success(request, "Stored. The worker writes letter and service sheet again from these numbers.")
    return redirect(case_address(case, round))


def _revision(request: HttpRequest) -> int:
    typed = request.POST.get("revision", "")
    if not typed.isdecimal() or len(typed) > 9:
        raise Http404("The page did not say which answers it showed.")
    return int(typed)
