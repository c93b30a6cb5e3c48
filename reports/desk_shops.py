"""The desk: the shops, who signs in for them, and what did not arrive at their web-hooks."""
from __future__ import annotations

from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from intake import services as cases
from intake.errors import Refused
from intake.models import Shop
from intake.shown_once import salt_of_page
from reports import services
from reports.desk_sign_in import tuner

CONFLICT = 409
SHOWN = 200


@tuner
@require_http_methods(["GET", "HEAD", "POST"])
def shops(request: HttpRequest) -> HttpResponse:
    """List the shops; make a sign-in for somebody of one.  Its password is shown this once."""
    if request.method != "POST":
        return _page(request)
    typed = {name: request.POST.get(name, "") for name in ("shop", "username")}
    try:
        shop = cases.named_shop(shop_name=typed["shop"])
        password = cases.new_shop_user(shop=shop, username=typed["username"],
                                       salt=salt_of_page(request, request.user))
    except Refused as refused:
        return _page(request, refused=refused, typed=typed, status=CONFLICT)
    return _page(request, password=password, made=typed)


@tuner
@require_POST
def end_sign_in(request: HttpRequest) -> HttpResponse:
    """Switch somebody's sign-in off."""
    try:
        shop = cases.named_shop(shop_name=request.POST.get("shop", ""))
        cases.end_shop_user(shop=shop, username=request.POST.get("username", "").replace("\x00", ""))
    except Refused as refused:
        return _page(request, refused=refused, status=CONFLICT)
    messages.success(request, "The sign-in is switched off.")
    return redirect("desk-shops")


@tuner
@require_POST
def hook_again(request: HttpRequest, sent_id: int) -> HttpResponse:
    """Send a message to a shop again that did not arrive."""
    try:
        services.send_again(sending=services.sending_of(sending_id=sent_id))
    except Refused as refused:
        return _page(request, refused=refused, status=CONFLICT)
    messages.success(request, "The message is on its way again.")
    return redirect("desk-shops")


def _page(request: HttpRequest, status: int = 200, **more: object) -> HttpResponse:
    found = Shop.objects.annotate(jobs=Count("cases")).prefetch_related("users__user").order_by("name")
    return render(request, "reports/desk/shops.html", {
        "shops": found[:SHOWN], "dead": services.dead_sendings()[:SHOWN], **more}, status=status)
