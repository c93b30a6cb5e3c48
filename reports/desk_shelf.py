"""The shelf on the desk: data sheets listed, added, changed in versions, retired, and read from or saved as a table."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from intake.errors import Refused
from reports import services
from reports.desk_sign_in import tuner
from reports.services.shelf import SheetRefused
from reports.shelf_fields import FIELDS, differences
from reports.shelf_models import DataSheet, SheetVersion
from reports.shelf_table import LARGEST, as_csv, newest_versions, read_table

CONFLICT = 409
SHOWN = 200


@tuner
@require_GET
def shelf(request: HttpRequest) -> HttpResponse:
    """List the sheets on the shelf, or the retired ones; ``q`` searches names."""
    words, retired = request.GET.get("q", "").replace("\x00", "").strip()[:80], "retired" in request.GET
    sheets = DataSheet.objects.filter(retired_at__isnull=not retired)
    for word in words.split():
        sheets = sheets.filter(name__icontains=word)
    return render(request, "reports/desk/shelf.html", {
        "sheets": sheets[:SHOWN], "more": sheets.count() - SHOWN, "q": words, "retired": retired})


@tuner
@require_http_methods(["GET", "POST"])
def sheet_new(request: HttpRequest, kind: str) -> HttpResponse:
    """Write a new sheet."""
    kind = get_kind(kind)
    if request.method == "GET":
        return _form(request, kind)
    return _kept(request, kind, None)


@tuner
@require_http_methods(["GET", "POST"])
def sheet_page(request: HttpRequest, sheet: int) -> HttpResponse:
    """Show a sheet's newest version as a form, and its older ones; a POST makes a new version."""
    found = get_object_or_404(DataSheet, pk=sheet)
    if request.method == "POST":
        return _kept(request, found.kind, found)
    newest = found.versions.get(number=found.number)
    return _form(request, found.kind, found, newest.values, newest.name, newest.note)


@tuner
@require_GET
def sheet_version(request: HttpRequest, sheet: int, version: int) -> HttpResponse:
    """Show one version as it was, and what the next one changed."""
    found = get_object_or_404(SheetVersion.objects.select_related("sheet"), sheet=sheet, number=version)
    newest = found.sheet.versions.get(number=found.sheet.number)
    rows = [(field.title, found.values[field.name], field.unit) for field in FIELDS[found.sheet.kind]
            if found.values.get(field.name)]
    return render(request, "reports/desk/sheet_version.html", {
        "version": found, "rows": rows, "newest": newest,
        "differ": differences(found.sheet.kind, found.values, newest.values)})


@tuner
@require_POST
def sheet_retire(request: HttpRequest, sheet: int) -> HttpResponse:
    """Take a sheet off the shelf, or put it back."""
    found, back = get_object_or_404(DataSheet, pk=sheet), "back" in request.POST
    try:
        services.retire_sheet(sheet=found, user=request.user, retired=not back)
    except Refused as refused:
        newest = found.versions.get(number=found.number)
        return _form(request, found.kind, found, newest.values, newest.name, newest.note, refused=refused)
    messages.success(request, f"“{found.name}” is {'back on' if back else 'off'} the shelf."
                     + ("" if back else " Cases that draw on it keep it."))
    return redirect("shelf")


@tuner
@require_http_methods(["GET", "POST"])
def shelf_import(request: HttpRequest) -> HttpResponse:
    """Read a table: first what it would do is shown, then, once confirmed, its good rows are taken."""
    if request.method == "GET":
        return render(request, "reports/desk/shelf_import.html", {"fields": FIELDS})
    sent = request.FILES.get("table")
    raw = sent.read(LARGEST + 1) if sent else request.POST.get("text", "")
    try:
        table = read_table(raw)
        if "take" in request.POST:
            services.take_rows(rows=table.taken, user=request.user)
    except Refused as refused:
        return render(request, "reports/desk/shelf_import.html", {
            "fields": FIELDS, "refused": refused, "text": raw if isinstance(raw, str) else ""}, status=CONFLICT)
    if "take" not in request.POST:
        text = raw if isinstance(raw, str) else raw.decode("utf-8-sig", "replace")
        return render(request, "reports/desk/shelf_import.html", {"fields": FIELDS, "table": table, "text": text})
    messages.success(request, f"Rows taken: {len(table.taken)}.")
    return redirect("shelf")


@tuner
@require_GET
def shelf_csv(request: HttpRequest) -> StreamingHttpResponse:
    """Save the shelf as a table."""
    sheets = list(DataSheet.objects.filter(retired_at__isnull=True).values_list("pk", flat=True))
    return StreamingHttpResponse(as_csv(newest_versions(sheets)), content_type="text/csv; charset=utf-8",
                                 headers={"Content-Disposition": 'attachment; filename="shelf.csv"'})


def get_kind(kind: str) -> str:
    """Return ``kind`` where there is such a kind of sheet; anything else is a fork."""
    return kind if kind in FIELDS else "fork"


def _kept(request: HttpRequest, kind: str, sheet: DataSheet | None) -> HttpResponse:
    typed, name, note = request.POST, request.POST.get("name", ""), request.POST.get("note", "")
    based = request.POST.get("based_on", "")
    try:
        kept = services.keep_sheet(user=request.user, kind=kind, name=name, note=note, typed=typed, sheet=sheet,
                                   based_on=int(based) if based.isdecimal() and len(based) < 9 else 0)
    except Refused as refused:
        if sheet:
            sheet.refresh_from_db()
        return _form(request, kind, sheet, typed, name, note, refused=refused)
    messages.success(request, f"Kept: “{kept.name}”, version {kept.number}.")
    return redirect("shelf-sheet", kept.sheet_id)


def _form(request: HttpRequest, kind: str, sheet: DataSheet | None = None, values: Mapping[str, Any] | None = None,
          name: str = "", note: str = "", *, refused: Refused | None = None) -> HttpResponse:
    faults = {fault.name: fault for fault in refused.faults} if isinstance(refused, SheetRefused) else {}
    rows = [(field, (values or {}).get(field.name, ""), faults.get(field.name)) for field in FIELDS[kind]]
    return render(request, "reports/desk/shelf_sheet.html", {
        "kind": DataSheet.Kind(kind).label, "sheet": sheet, "rows": rows, "name": name, "note": note,
        "general": faults.get(""), "refused": refused,
        "versions": sheet.versions.order_by("-number").defer("values") if sheet else []},
        status=CONFLICT if refused else 200)
