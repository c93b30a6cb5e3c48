"""One thing done to all ticked rows of the queue: each case through the service that does it for one."""
from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.base_user import AbstractBaseUser
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from intake import services as cases
from intake.erased_meanwhile import gone_is_not_here
from intake.errors import Refused
from intake.models import Case
from reports import services as letters
from reports.desk_holds import colleague, note_context
from reports.desk_list import queue_address
from reports.desk_sign_in import tuner

MOST = 200
UNREADABLE = 422
Typed = Mapping[str, Any]


@dataclass(frozen=True)
class Done:
    """What became of one ticked case."""

    number: str
    title: str
    words: str
    refused: bool = False


def _take(case: Case, user: AbstractBaseUser, typed: Typed) -> str:
    return "You have it now." if cases.take_case(case=case, user=user) else "You had it already."


def _give_back(case: Case, user: AbstractBaseUser, typed: Typed) -> str:
    cases.give_back(case=case, user=user)
    return "It is nobody's now."


def _hand_over(case: Case, user: AbstractBaseUser, typed: Typed) -> str:
    to = colleague(user, str(typed.get("to", "")))
    cases.hand_over(case=case, to=to, note=typed, user=user)
    return f"It is with {to.get_username()} now."


def _reminders(wanted: bool) -> Callable[[Case, AbstractBaseUser, Typed], str]:
    def do(case: Case, user: AbstractBaseUser, typed: Typed) -> str:
        cases.refuse_held(case=case, user=user)
        changed = cases.set_reminders(case=case, wanted=wanted, user=user)
        now = "is reminded" if wanted else "is not reminded any more"
        return f"The rider {now}." if changed else "That was so already."
    return do


def _close(case: Case, user: AbstractBaseUser, typed: Typed) -> str:
    cases.refuse_held(case=case, user=user)
    letters.record_outcome(case=case, outcome=cases.NEVER_HEARD, user=user)
    return "Closed as 'never heard'."


ACTIONS: dict[str, tuple[str, Callable[[Case, AbstractBaseUser, Typed], str]]] = {
    "take": ("Take", _take), "give back": ("Give back", _give_back), "hand over": ("Hand to a colleague", _hand_over),
    "no reminders": ("Reminders off", _reminders(False)), "reminders": ("Reminders on", _reminders(True)),
    "close": ("Close as 'never heard'", _close),
}
"""By what the form says: the words on the button, and what it does."""


@tuner
@require_POST
def ticked(request: HttpRequest) -> HttpResponse:
    """Do one thing to every ticked case; first ask what it needs, or whether it is meant."""
    numbers = list(dict.fromkeys(request.POST.getlist("case")))[:MOST]
    action = request.POST.get("action", "")
    if not numbers or action not in ACTIONS:
        messages.error(request, "No case is ticked. Tick the box of one or more first, then say what to do.")
        return redirect(queue_address(request.POST.get("back", "")))
    if action == "close" and "sure" not in request.POST:
        return _ask(request, "reports/desk/ticked_close.html", numbers)
    if action == "hand over" and (problem := _note_problem(request)) is not None:
        return _ask(request, "reports/desk/ticked_hand_over.html", numbers, **problem)
    return render(request, "reports/desk/ticked_done.html", {
        "title": ACTIONS[action][0], "back": queue_address(request.POST.get("back", "")),
        "done": [_do(number, action, request) for number in numbers],
    })


def _note_problem(request: HttpRequest) -> dict[str, Any] | None:
    """Return what the note still lacks; None where it is whole."""
    if "believe" not in request.POST:
        return {"status": 200}
    try:
        colleague(request.user, request.POST.get("to", ""))
        cases.checked_note(request.POST)
    except Refused as refused:
        return {"refused": refused, "status": UNREADABLE}
    return None


def _ask(request: HttpRequest, template: str, numbers: list[str], *, status: int = 200, **more: Any) -> HttpResponse:
    found = {case.number: case for case in Case.objects.filter(number__in=[_clean(one) for one in numbers])}
    return render(request, template, {
        "cases": [found[_clean(number)] for number in numbers if _clean(number) in found],
        "back": request.POST.get("back", ""), "back_address": queue_address(request.POST.get("back", "")),
        **note_context(request.user, request.POST), **more,
    }, status=status)


def _do(number: str, action: str, request: HttpRequest) -> Done:
    try:
        with gone_is_not_here(number):
            case = cases.case_for(user=request.user, number=number)
            return _done(case, action, request)
    except Http404:
        return Done(number[:12], "", "There is no such case.", refused=True)


def _done(case: Case, action: str, request: HttpRequest) -> Done:
    try:
        words = ACTIONS[action][1](case, request.user, request.POST)
    except Refused as refused:
        return Done(case.number, case.title, str(refused), refused=True)
    return Done(case.number, case.title, words)


def _clean(number: str) -> str:
    return number.replace("\x00", "")
