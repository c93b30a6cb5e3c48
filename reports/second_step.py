"""Nobody is signed in as a tuner by half: without the second factor's code a tuner's session opens nothing."""
from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode

from reports.models import SecondFactor

PASSED = "second factor"
"""In the session: which factor its holder has shown, and since when that one counts."""
STEP, SET_UP = "second-step", "second-factor"


def whole_sign_ins_only(answer: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: a tuner who still owes the second step is nobody yet; ``request.half_signed`` knows who it will be.

    At a public address a tuner without a second factor owes one.  A rider's session asks the database nothing here.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        request.half_signed = None
        if _has_signed_in(request) and request.user.is_authenticated and request.user.is_staff:
            request.owes = what_is_owed(request, request.user)
            if request.owes:
                request.half_signed, request.user = request.user, AnonymousUser()
        return answer(request)

    return middleware


def what_is_owed(request: HttpRequest, user: AbstractBaseUser) -> str:
    """Return the name of the page that a tuner has to go through first; blank where there is none."""
    factor = getattr(user, "second_factor", None)  # came with the user, in this very request
    if factor is None or factor.confirmed_at is None:
        return SET_UP if settings.SITE_URL.startswith("https://") else ""
    return "" if request.session.get(PASSED) == _mark(factor) else STEP


def note_passed(request: HttpRequest, factor: SecondFactor) -> None:
    """Let this session be a whole one, under a fresh key: whoever knew the half one's knows nothing now."""
    request.session.cycle_key()
    request.session[PASSED] = _mark(factor)


def go_through(request: HttpRequest) -> HttpResponse:
    """Lead a tuner who is signed in by half to what is owed, and from there to where the address led."""
    back = {"next": request.get_full_path()} if request.method == "GET" else {}
    return redirect(f"{reverse(request.owes)}?{urlencode(back)}" if back else reverse(request.owes))


def _has_signed_in(request: HttpRequest) -> bool:
    return settings.SESSION_COOKIE_NAME in request.COOKIES and SESSION_KEY in request.session


def _mark(factor: SecondFactor) -> str:
    return f"{factor.pk} {factor.confirmed_at.isoformat()}" if factor.confirmed_at else ""
