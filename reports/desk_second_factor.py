"""The desk: the code after the password, and the page where a tuner sets the second factor up or renews it."""
from __future__ import annotations

import segno
from django.contrib.auth.base_user import AbstractBaseUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import override
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from intake.errors import Refused
from intake.shown_once import salt_of_page
from reports import services
from reports.models import SecondFactor
from reports.second_step import SET_UP, STEP, note_passed
from reports.services.second_factor import secret_of
from reports.totp import key_address, key_text

CONFLICT = 409


@sensitive_post_parameters("code")
@never_cache
@override("en")
@require_http_methods(["GET", "HEAD", "POST"])
def second_step(request: HttpRequest) -> HttpResponse:
    """Ask for the code once the password was right; whoever owes none has no business here."""
    user, onward = request.half_signed, _onward(request)
    if user is None or request.owes != STEP:
        return redirect(onward if request.user.is_authenticated or user else "sign-in")
    if request.method != "POST":
        return render(request, "reports/desk/second_step.html", {"next": onward})
    try:
        factor = services.pass_factor(user=user, code=request.POST.get("code", ""))
    except Refused as refused:
        return render(request, "reports/desk/second_step.html", {"next": onward, "refused": refused}, status=CONFLICT)
    note_passed(request, factor)
    return redirect(onward)


@sensitive_post_parameters("code")
@never_cache
@override("en")
def second_factor(request: HttpRequest) -> HttpResponse:
    """Set the second factor up, or renew it with a current code; recovery codes are shown right after, once."""
    user = _whose(request)
    if user is None:
        return redirect(STEP if request.half_signed else "sign-in")
    return _set_up(request, user)


@require_http_methods(["GET", "HEAD", "POST"])
def _set_up(request: HttpRequest, user: AbstractBaseUser) -> HttpResponse:
    if request.method != "POST":
        return _page(request, user)
    code = request.POST.get("code", "")
    try:
        if "begin" in request.POST:
            services.begin_factor(user=user, code=code)
            return redirect(SET_UP)
        codes = services.confirm_factor(user=user, code=code, salt=salt_of_page(request, user))
    except Refused as refused:
        return _page(request, user, refused)
    note_passed(request, SecondFactor.objects.get(user=user))  # not the one that came with the user, from before
    request.user = user
    return render(request, "reports/desk/recovery_codes.html", {"codes": codes})


def _whose(request: HttpRequest) -> AbstractBaseUser | None:
    """Return the tuner whose page this is: signed in wholly, or owing nothing but to set it up."""
    if request.half_signed is not None:
        return request.half_signed if request.owes == SET_UP else None
    return request.user if request.user.is_active and request.user.is_staff else None


def _page(request: HttpRequest, user: AbstractBaseUser, refused: Refused | None = None) -> HttpResponse:
    row = SecondFactor.objects.filter(user=user).first()
    shown: dict[str, object] = {"row": row, "refused": refused, "must": request.half_signed is not None}
    if row and row.confirmed_at:
        shown["left"] = services.codes_left(factor=row)
    if row and row.next_salt:
        secret = secret_of(row.next_salt)
        shown |= {"key": key_text(secret), "qr": _qr(key_address(secret, user.get_username()))}
    return render(request, "reports/desk/second_factor.html", shown, status=CONFLICT if refused else 200)


def _qr(address: str) -> SafeString:
    """Return the QR code on white, since a phone's camera wants it so in a dark scheme too."""
    return mark_safe(segno.make_qr(address, error="m").svg_inline(border=4, omitsize=True, dark="#000", light="#fff"))


def _onward(request: HttpRequest) -> str:
    asked = request.POST.get("next") or request.GET.get("next") or ""
    fits = url_has_allowed_host_and_scheme(asked, {request.get_host()}, require_https=request.is_secure())
    return asked if fits else reverse("queue")
