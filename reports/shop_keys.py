"""The counter: the shop's tokens for the API.  A new one is shown on the page that makes it, and never again."""
from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from intake import services
from intake.errors import Refused
from intake.services.shops import LONGEST_OVERLAP, SCOPES, good_tokens
from intake.shown_once import salt_of_page
from reports.shop_sign_in import at_the_counter

CONFLICT = 409


@at_the_counter
@require_http_methods(["GET", "HEAD", "POST"])
def tokens(request: HttpRequest) -> HttpResponse:
    """List the tokens; make a new one."""
    if request.method != "POST":
        return _page(request)
    name, scope = request.POST.get("name", ""), request.POST.get("scope", "")
    try:
        fresh = services.add_shop_token(shop=request.shop, name=name, scope=scope,
                                        salt=salt_of_page(request, request.user))
    except Refused as refused:
        return _page(request, refused=refused, typed=name, status=CONFLICT)
    return _page(request, fresh=fresh, fresh_name=name)


@at_the_counter
@require_POST
def renew(request: HttpRequest, token_id: int) -> HttpResponse:
    """Put a new token in the place of one; the old one lives on for the hours that were picked."""
    token = services.token_of(shop=request.shop, token_id=token_id)
    hours = request.POST.get("overlap_hours", "")
    try:
        overlap = int(hours) if hours.isascii() and hours.isdigit() and len(hours) < 4 else LONGEST_OVERLAP + 1
        fresh, made = services.rotate_shop_token(token=token, overlap_hours=overlap,
                                                 salt=salt_of_page(request, request.user))
        token.refresh_from_db()
    except Refused as refused:
        return _page(request, refused=refused, status=CONFLICT)
    return _page(request, fresh=fresh, fresh_name=made.name, old_ends_at=token.ends_at)


@at_the_counter
@require_POST
def revoke(request: HttpRequest, token_id: int) -> HttpResponse:
    """End a token at once."""
    services.revoke_token(shop=request.shop, token_id=token_id)
    messages.success(request, "The token opens nothing any more.")
    return redirect("shop-tokens")


def _page(request: HttpRequest, status: int = 200, **more: object) -> HttpResponse:
    found = good_tokens().filter(shop=request.shop).order_by("id")
    return render(request, "reports/shop/tokens.html", {"tokens": found, "scopes": SCOPES, **more}, status=status)
