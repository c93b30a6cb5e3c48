"""The rider prints the bench sheet: a page that says what is on it, and the button that makes it."""
from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from intake import services
from intake.errors import Refused
from intake.sheets import Sheet, sheet_for
from reports.bench_sheet import bench_sheet_pdf, check_printable, sheet_code


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def bench_sheet(request: HttpRequest, number: str) -> HttpResponse:
    """Say what the sheet is for; a POST prints it, with a private link of its own unless that is left off.

    The link is made by the POST alone: tokens are kept as hashes, so no older link could be printed, and what only
    looks at the page must not make a key to the case.
    """
    sheet = sheet_for(request, number)
    context = {"sheet": sheet, "code": sheet_code(sheet)}
    try:
        check_printable(sheet)
    except Refused as refused:
        return render(request, "reports/rider/bench_sheet.html", context | {"refused": refused}, status=409)
    if request.method != "POST":
        return render(request, "reports/rider/bench_sheet.html", context)
    address = "" if request.POST.get("without_link") else _fresh_address(sheet)
    return _pdf(sheet, bench_sheet_pdf(sheet, address, request.POST.getlist("test")))


def _fresh_address(sheet: Sheet) -> str:
    services.record_event(case=sheet.case, who="rider", what="Bench sheet printed.",
                          detail={"round": sheet.round.number, "code": sheet_code(sheet)})
    return settings.SITE_URL + reverse("open-link", args=[services.new_link(case=sheet.case)])


def _pdf(sheet: Sheet, pdf: bytes) -> HttpResponse:
    name = _("bench-sheet-%(number)s.pdf") % {"number": sheet.case.number}
    return HttpResponse(pdf, content_type="application/pdf",
                        headers={"Content-Disposition": f'inline; filename="{name}"'})
