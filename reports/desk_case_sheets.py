"""Data sheets of a case: picked, taken off, and a newer version taken."""
from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from intake import services as cases
from intake.models import Case, Round
from reports import services
from reports.desk_sign_in import tuner
from reports.desk_views import on_case_page
from reports.shelf_fields import FIELDS
from reports.shelf_models import DataSheet, SheetVersion

SHOWN = 50


@tuner
@require_GET
def case_sheets(request: HttpRequest, number: str) -> HttpResponse:
    """List the sheets that a case can draw on; ``q`` searches names."""
    case = cases.case_for(user=request.user, number=number)
    words = request.GET.get("q", "").replace("\x00", "").strip()[:80]
    sheets = DataSheet.objects.filter(retired_at__isnull=True)
    for word in words.split():
        sheets = sheets.filter(name__icontains=word)
    return render(request, "reports/desk/case_sheets.html", {
        "case": case, "sheets": sheets[:SHOWN], "more": sheets.count() - SHOWN, "q": words})


@on_case_page
def sheet_link(request: HttpRequest, case: Case, round: Round) -> str:
    """Lay a version of a sheet under the case."""
    sheet, number = (_number(request.POST.get(name, "")) for name in ("sheet", "version"))
    version = get_object_or_404(SheetVersion.objects.select_related("sheet"), sheet=sheet, number=number)
    services.link_sheet(case=case, version=version, user=request.user)
    return f"The case draws on “{version.name}”, version {version.number}. It is drafted anew."


@on_case_page
def sheet_unlink(request: HttpRequest, case: Case, round: Round) -> str:
    """Take the sheet of a kind off the case."""
    kind = request.POST.get("kind", "")
    if kind not in FIELDS:
        raise Http404("There is no such kind of sheet.")
    services.unlink_sheet(case=case, kind=kind, user=request.user)
    return "The sheet is taken off. The case is drafted anew."


def _number(typed: str) -> int:
    if not typed.isdecimal() or len(typed) > 9:
        raise Http404("The page did not say which sheet.")
    return int(typed)
