"""Writing into a case that a colleague holds: asked first, and nothing that was typed is lost."""
from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from intake import services as cases
from intake.errors import Refused

CONFLICT = 409
OVER = "take_over"
"""The name of the button that says: take it over and go on."""
OURS = (OVER, "csrfmiddlewaretoken")


def not_into_held(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let whoever writes into a case have it; where a colleague has, show what was typed and ask.

    Reading is free to everybody, and counts for its holder as being at it.
    """

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **named: Any) -> HttpResponse:
        if "number" in named and request.method == "POST":
            if (asked := _asked_first(request, named["number"])) is not None:
                return asked
        elif "number" in named:
            cases.stay(number=named["number"].replace("\x00", ""), user=request.user)
        return view(request, *args, **named)

    return guarded


def _asked_first(request: HttpRequest, number: str) -> HttpResponse | None:
    case = cases.case_for(user=request.user, number=number)
    try:
        cases.take_case(case=case, user=request.user, over=OVER in request.POST)
    except cases.Held as held:
        return held_page(request, held, number)
    except Refused:
        pass  # a case that has ended is nobody's; what is to be done with it says so itself
    return None


def held_page(request: HttpRequest, held: cases.Held, number: str) -> HttpResponse:
    """Say who holds the case, and carry what was typed on to wherever it was meant to go."""
    typed = [(name, value) for name, values in request.POST.lists() if name not in OURS for value in values]
    return render(request, "reports/desk/held.html", {
        "case": cases.case_for(user=request.user, number=number), "refused": held, "typed": typed,
        "shown": [value for _name, value in typed if " " in value.strip()], "files": list(request.FILES),
        "target": request.get_full_path(),
    }, status=CONFLICT)
