"""Taking a case, giving it back and handing it to a colleague, one case at a time."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.contrib.auth.base_user import AbstractBaseUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from intake import services as cases
from intake.errors import Refused
from intake.services.holding import LONGEST_LINE, NOTE_LINES
from reports.desk_held import OVER, held_page
from reports.desk_sign_in import signed_in

CONFLICT = 409


@signed_in
@require_POST
def take(request: HttpRequest, number: str) -> HttpResponse:
    """Take a case; where a colleague holds it, ask whether to take it over."""
    case = cases.case_for(user=request.user, number=number)
    try:
        cases.take_case(case=case, user=request.user, over=OVER in request.POST)
    except cases.Held as held:
        return held_page(request, held, number)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"You have {case.number} now.")
    return redirect("desk-case", case.number)


@signed_in
@require_POST
def give_back(request: HttpRequest, number: str) -> HttpResponse:
    """Let go of a case."""
    case = cases.case_for(user=request.user, number=number)
    try:
        cases.give_back(case=case, user=request.user)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{case.number} is nobody's now.")
    return redirect("desk-case", case.number)


@signed_in
@require_http_methods(["GET", "POST"])
def hand_over(request: HttpRequest, number: str) -> HttpResponse:
    """Hand a case to a colleague with a note of five lines."""
    case = cases.case_for(user=request.user, number=number)
    refused = None
    if request.method == "POST":
        try:
            to = colleague(request.user, request.POST.get("to", ""))
            cases.hand_over(case=case, to=to, note=request.POST.dict(), user=request.user)
        except Refused as problem:
            refused = problem
        else:
            messages.success(request, f"{case.number} is with {to.get_username()} now.")
            return redirect("queue")
    return render(request, "reports/desk/hand_over.html", {
        "case": case, "refused": refused, **note_context(request.user, request.POST),
    }, status=CONFLICT if refused else 200)


def colleague(user: AbstractBaseUser, typed: str) -> AbstractBaseUser:
    """Return the colleague that was picked, or raise ``Refused``."""
    found = cases.colleagues(user=user).filter(pk=int(typed)).first() if _is_key(typed) else None
    if found is None:
        raise Refused("It is not said who gets it.", "Pick a colleague.")
    return found


def _is_key(typed: str) -> bool:
    return typed.isascii() and typed.isdigit() and len(typed) < 10


def note_context(user: AbstractBaseUser, typed: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the form of a note shows: the colleagues, and the five lines as they were typed."""
    return {
        "colleagues": cases.colleagues(user=user), "to": typed.get("to", ""), "longest": LONGEST_LINE,
        "lines": [(name, title, typed.get(name, "")) for name, title in NOTE_LINES.items()],
    }
