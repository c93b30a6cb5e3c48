"""The language that a reader picks for themselves."""
from __future__ import annotations

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import get_language_from_request
from django.views.decorators.http import require_POST

from intake import services
from intake.access import case_for
from intake.models import Case

YEAR = 365 * 24 * 3600


@require_POST
def language(request: HttpRequest) -> HttpResponse:
    """Keep the picked language in a cookie, and in the case where the page belongs to one; go back to the page."""
    picked = request.POST.get("language", "")
    if picked not in dict(settings.LANGUAGES):
        picked = get_language_from_request(request)
    back = _own_page(request, request.POST.get("next", ""))
    case = _case_of(request, back)
    if case is not None:
        services.save_language(case=case, language=picked)
    answer = redirect(back)
    answer.set_cookie(settings.LANGUAGE_COOKIE_NAME, picked, max_age=YEAR, secure=request.is_secure(),
                      httponly=settings.LANGUAGE_COOKIE_HTTPONLY, samesite="Lax")
    return answer


def _own_page(request: HttpRequest, address: str) -> str:
    own = address.startswith("/") and url_has_allowed_host_and_scheme(address, None)
    return address if own else "/"


def _case_of(request: HttpRequest, address: str) -> Case | None:
    try:
        number = resolve(address.partition("?")[0]).kwargs.get("number", "")
        return case_for(number=number, session=request.session) if number else None
    except (Resolver404, Http404):
        return None
