"""A tuner's own views of the queue: kept, renamed, deleted."""
from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST

from intake.errors import Refused
from reports import services
from reports.desk_list import queue_address
from reports.desk_sign_in import tuner
from reports.models import SavedView

CONFLICT = 409


@tuner
@require_http_methods(["GET", "POST"])
def own_views(request: HttpRequest) -> HttpResponse:
    """List the tuner's views; a POST keeps the filters it carries under the name it carries."""
    if request.method == "GET":
        return _page(request)
    query, name = request.POST.get("query", ""), request.POST.get("name", "")
    try:
        view = services.save_view(user=request.user, name=name, query=QueryDict(query).dict())
    except Refused as refused:
        return _page(request, refused=refused, query=query, name=name)
    messages.success(request, f"Kept as '{view.name}'.")
    return redirect(queue_address(urlencode(view.query)))


@tuner
@require_POST
def own_view_rename(request: HttpRequest, view: int) -> HttpResponse:
    """Give a view another name."""
    mine, name = _mine(request, view), request.POST.get("name", "")
    try:
        services.rename_view(view=mine, name=name)
    except Refused as refused:
        return _page(request, refused=refused, typed={mine.pk: name})
    messages.success(request, "Renamed.")
    return redirect("own-views")


@tuner
@require_POST
def own_view_delete(request: HttpRequest, view: int) -> HttpResponse:
    """Delete a view."""
    mine = _mine(request, view)
    services.delete_view(view=mine)
    messages.success(request, f"'{mine.name}' is deleted. The cases stay as they are.")
    return redirect("own-views")


def _mine(request: HttpRequest, view: int) -> SavedView:
    return get_object_or_404(SavedView, pk=view, owner=request.user)


def _page(request: HttpRequest, *, refused: Refused | None = None, query: str = "", name: str = "",
          typed: dict[int, str] | None = None) -> HttpResponse:
    views = [(view, (typed or {}).get(view.pk, view.name), urlencode(view.query))
             for view in request.user.saved_views.all()]
    return render(request, "reports/desk/own_views.html", {
        "views": views, "refused": refused, "query": query, "name": name}, status=CONFLICT if refused else 200)
