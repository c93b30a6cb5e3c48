"""The counter: many jobs in one table.  What is wrong is named cell by cell; cases come only on the shop's word."""
from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from intake import services
from intake.errors import Refused
from intake.job_table import HEAD, MOST_BYTES, MOST_ROWS
from intake.models import JobTable
from intake.services.tables import GOOD, counts
from reports.shop_form import JOB_CARD
from reports.shop_sign_in import at_the_counter

UNREADABLE, CONFLICT = 422, 409
KEPT_SHOWN = 50


@at_the_counter
@require_http_methods(["GET", "HEAD", "POST"])
def tables(request: HttpRequest) -> HttpResponse:
    """List the tables that were sent, or take a new one in and show what is said about it."""
    if request.method != "POST":
        return _list(request)
    sent = request.FILES.get("table")
    try:
        if sent is None:
            raise Refused("There is no file in it.", "Pick the table, then send it.")
        made = services.check_table(shop=request.shop, data=sent.read(MOST_BYTES + 1), name=sent.name or "",
                                    who=request.who, dry_run="dry_run" in request.POST)
    except Refused as refused:
        return _list(request, refused=refused, status=UNREADABLE)
    return redirect("shop-table", made.pk)


def _list(request: HttpRequest, status: int = 200, **more: object) -> HttpResponse:
    found = JobTable.objects.filter(shop=request.shop).order_by("-id")[:KEPT_SHOWN]
    return render(request, "reports/shop/tables.html", {
        "tables": [(one, counts(one)) for one in found], "most": MOST_ROWS, **more}, status=status)


@at_the_counter
@require_GET
def table(request: HttpRequest, table_id: int) -> HttpResponse:
    """What is said about every line of a table."""
    return _report(request, services.table_of(shop=request.shop, table_id=table_id))


@at_the_counter
@require_POST
def confirm(request: HttpRequest, table_id: int) -> HttpResponse:
    """Make cases of the good rows."""
    found = services.table_of(shop=request.shop, table_id=table_id)
    try:
        services.confirm_table(table=found)
    except Refused as refused:
        return _report(request, found, refused=refused, status=CONFLICT)
    messages.success(request, "Handed in. Every good line is a case now.")
    return redirect("shop-table", found.pk)


def _report(request: HttpRequest, found: JobTable, status: int = 200, **more: object) -> HttpResponse:
    return render(request, "reports/shop/table.html", {
        "table": found, "counts": [(state, count) for state, count in counts(found).items() if count],
        "good": counts(found)[GOOD], "faults": [fault for row in found.rows for fault in row["faults"]],
        "can_confirm": found.state == JobTable.State.CHECKED and counts(found)[GOOD] > 0, **more}, status=status)


@at_the_counter
@require_GET
def empty(request: HttpRequest) -> HttpResponse:
    """An empty table with the job card's questions as its columns."""
    names = [*HEAD, *(path for part in JOB_CARD for question in part.questions for path in question.paths())]
    return HttpResponse(f"{','.join(names)}\r\n", content_type="text/csv; charset=utf-8",
                        headers={"Content-Disposition": 'attachment; filename="jobs.csv"'})
