"""The tuner's desk: one case.  Every page works with links and buttons alone."""
from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from intake import services as cases
from intake.errors import Refused
from intake.models import Case, Round
from reports import services as letters
from reports.desk_case import case_context, outcome_title
from reports.desk_sign_in import tuner
from reports.models import Draft

Action = Callable[[HttpRequest, Case, Round], str]
CONFLICT, GONE, UNREADABLE = 409, 410, 422


def chosen_round(request: HttpRequest, case: Case) -> Round:
    """Return the round that the page was made from, or the newest."""
    number = request.POST.get("round") or request.GET.get("round")
    if not number:
        return case.current_round
    if not number.isdecimal() or len(number) > 4:
        raise Http404("There is no such round.")
    return get_object_or_404(case.rounds, number=int(number))


def case_address(case: Case, round: Round | None = None) -> str:
    """Return the address of a case's page, on a round where one is named."""
    address = reverse("desk-case", args=[case.number])
    return f"{address}?round={round.number}" if round else address


def case_page(request: HttpRequest, case: Case, round: Round, *, status: int = 200, **more: Any) -> HttpResponse:
    """Show one round of a case; ``more`` carries a refusal and what was typed."""
    return render(request, "reports/desk/case.html", case_context(case, round, timezone.now()) | more, status=status)


@tuner
@require_GET
def desk_case(request: HttpRequest, number: str) -> HttpResponse:
    """One case: the evidence beside the conclusion, the letter beside both."""
    if gone := cases.erased(number=number):
        return render(request, "reports/desk/erased.html", {"erased": gone, "outcome": outcome_title(gone.outcome)},
                      status=GONE)
    case = cases.case_for(user=request.user, number=number)
    return case_page(request, case, chosen_round(request, case))


def on_case_page(action: Action) -> Callable[..., HttpResponse]:
    """Make the view behind one button of the case page: POST only; a refusal is shown where the button was."""

    @tuner
    @require_POST
    @wraps(action)
    def view(request: HttpRequest, number: str, **named: Any) -> HttpResponse:
        case = cases.case_for(user=request.user, number=number)
        round = chosen_round(request, case)
        try:
            said = action(request, case, round, **named)
        except Refused as refused:
            case.refresh_from_db()
            return case_page(request, case, round, refused=refused, typed=request.POST, status=CONFLICT)
        messages.success(request, said)
        return redirect(case_address(case, round))

    return view


@on_case_page
def work_again(request: HttpRequest, case: Case, round: Round) -> str:
    """Let the worker try a parked draft once more."""
    order = getattr(round, "work_order", None)
    if order is None:
        raise Refused("There is no draft to try again.", "The round has not been handed in, or was opened again.")
    letters.try_again(order=order, user=request.user)
    return f"The worker tries {case.number} again."


@tuner
@require_POST
def next_round(request: HttpRequest, number: str) -> HttpResponse:
    """Open the next round and show it."""
    case = cases.case_for(user=request.user, number=number)
    try:
        opened = cases.open_next_round(case=case, who=request.user.get_username(), user=request.user)
    except Refused as refused:
        return case_page(request, case, case.current_round, refused=refused, status=CONFLICT)
    messages.success(request, f"Round {opened.number} is open. The rider's page asks for the new readings.")
    return redirect(case_address(case, opened))


@tuner
@require_GET
def figure(request: HttpRequest, number: str, round_number: int, position: int) -> HttpResponse:
    """One figure of a round's newest draft."""
    case = cases.case_for(user=request.user, number=number)
    draft = Draft.objects.filter(round__case=case, round__number=round_number).order_by("-revision", "-id").first()
    if draft is None or position >= len(draft.figures):
        raise Http404("There is no such figure.")
    return HttpResponse(draft.figures[position]["svg"], content_type="image/svg+xml")
