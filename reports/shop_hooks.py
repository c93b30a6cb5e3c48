"""The counter: the shop's web-hooks.  A secret is shown on the page that makes it, and never again."""
from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from intake.errors import Refused
from intake.shown_once import salt_of_page
from reports import services
from reports.models import HookSending
from reports.services.hooks import EVENTS, hooks_of
from reports.shop_sign_in import at_the_counter

UNREADABLE, CONFLICT = 422, 409
SHOWN = 30


@at_the_counter
@require_http_methods(["GET", "HEAD", "POST"])
def hooks(request: HttpRequest) -> HttpResponse:
    """List the addresses that are told things and what did not arrive; add an address."""
    if request.method != "POST":
        return _page(request)
    typed, picked = request.POST.get("address", ""), request.POST.getlist("events")
    try:
        made, secret = services.add_hook(shop=request.shop, address=typed, events=picked,
                                         salt=salt_of_page(request, request.user))
    except Refused as refused:
        return _page(request, refused=refused, typed=typed, picked=picked, status=UNREADABLE)
    return _page(request, made=made, secret=secret)


def _button(action: Callable[[HttpRequest, int], str]) -> Callable[..., HttpResponse]:
    """Make the view behind one button: POST only, then back to the list."""

    @at_the_counter
    @require_POST
    def view(request: HttpRequest, **named: int) -> HttpResponse:
        try:
            messages.success(request, action(request, *named.values()))
        except Refused as refused:
            return _page(request, refused=refused, status=CONFLICT)
        return redirect("shop-hooks")

    return view


@_button
def end(request: HttpRequest, hook_id: int) -> str:
    """Tell an address nothing more."""
    services.end_hook(hook=services.hook_of(shop=request.shop, hook_id=hook_id))
    return "This address is told nothing more."


@_button
def try_out(request: HttpRequest, hook_id: int) -> str:
    """Send a test message."""
    services.try_hook(hook=services.hook_of(shop=request.shop, hook_id=hook_id))
    return "A test message is on its way. Look again in a minute."


@_button
def again(request: HttpRequest, sent_id: int) -> str:
    """Send a message again that did not arrive."""
    services.send_again(sending=services.sending_of(sending_id=sent_id, shop=request.shop))
    return "The message is on its way again."


def _page(request: HttpRequest, status: int = 200, **more: object) -> HttpResponse:
    newest = HookSending.objects.filter(hook__shop=request.shop).select_related("case", "hook").order_by("-id")
    return render(request, "reports/shop/hooks.html", {
        "hooks": hooks_of(request.shop), "dead": services.dead_sendings(request.shop)[:SHOWN],
        "newest": newest[:SHOWN], "events": EVENTS, **more}, status=status)
