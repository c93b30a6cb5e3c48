"""Tables of jobs: checked and kept first, made into cases on the shop's word, never twice."""
from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.http import Http404
from django.utils import timezone

from analysis.document import CaseFaults
from intake.errors import Refused
from intake.job_table import JobRow, ReadTable, read_table
from intake.models import Case, JobTable, Shop
from intake.paths import storable
from intake.services.handing_in import JobKnown, content_hash, hand_in_job

GOOD, FAULTY, KNOWN, OTHER, MADE = "good", "faulty", "handed in before", "other content", "handed in"
OF_THE_RIDER = ("rider_name", "rider_email", "document")
"""What a row holds until its case does, and then no more: an erased case must not live on in a table."""
State = JobTable.State


def check_table(*, shop: Shop, data: bytes, name: str, who: str, dry_run: bool = False) -> JobTable:
    """Read a table, write down what is to be said about every line, and keep the report.  No case is made yet.

    Raises ``Refused`` where nothing can be made of the file as a table.
    """
    read = read_table(data)
    rows = _report(shop, read)
    blocked = bool(read.head_faults)
    if blocked:
        rows.insert(0, {"line": read.head_faults[0].line, "job": "", "state": FAULTY, "case": "",
                        "faults": [asdict(fault) for fault in read.head_faults]})
        read.notes.append("Nothing is made of this table until the names of its columns are mended.")
    return JobTable.objects.create(
        shop=shop, name=" ".join(storable(name).split())[:120] or "table", who=who[:80], rows=rows, notes=read.notes,
        state=State.DRY if dry_run or blocked else State.CHECKED)


def confirm_table(*, table: JobTable) -> JobTable:
    """Make a case of every good row.  A second time, or after a stop half way, goes on where there is still work.

    Raises ``Refused`` for a table that was only checked.
    """
    table.refresh_from_db()
    if table.state == State.CONFIRMED:
        return table
    if table.state == State.DRY:
        raise Refused("This table was only checked.", "Send it again without 'dry run', its column names mended.")
    rows = [_report_alone(_made(table, row) if row["state"] == GOOD else row) for row in table.rows]
    JobTable.objects.filter(pk=table.pk, state=State.CHECKED).update(
        rows=rows, state=State.CONFIRMED, confirmed_at=timezone.now())
    table.refresh_from_db()
    return table


def table_of(*, shop: Shop, table_id: int) -> JobTable:
    """Return one of the shop's tables.  Raises ``Http404`` for another's."""
    found = JobTable.objects.filter(pk=table_id, shop=shop).first()
    if found is None:
        raise Http404("There is no such table.")
    return found


def counts(table: JobTable) -> dict[str, int]:
    """Return how many rows are in each state."""
    found = dict.fromkeys((GOOD, FAULTY, KNOWN, OTHER, MADE), 0)
    for row in table.rows:
        found[row["state"]] += 1
    return found


def _report(shop: Shop, read: ReadTable) -> list[dict[str, Any]]:
    jobs = [row.job for row in read.rows]
    before = {job: (number, content) for job, number, content in Case.objects.filter(
        shop=shop, shop_job__in=jobs).values_list("shop_job", "number", "shop_content")}
    rows = [_shown(row, before.get(row.job)) for row in read.rows]
    return [row if row["state"] == GOOD else _report_alone(row) for row in rows]


def _report_alone(row: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name not in OF_THE_RIDER}


def _shown(row: JobRow, before: tuple[str, str] | None) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "line": row.line, "job": row.job[:80], "state": FAULTY if row.faults else GOOD, "case": "",
        "faults": [asdict(fault) for fault in row.faults], "rider_name": row.rider_name, "rider_email": row.rider_email,
        "document": row.document}
    if row.faults or before is None:
        return shown
    number, content = before
    same = content == content_hash(document=row.document, rider_email=row.rider_email, rider_name=row.rider_name)
    return shown | ({"state": KNOWN, "case": number} if same else _other(row.line, row.job, number))


def _other(line: int, job: str, number: str) -> dict[str, Any]:
    return {"state": OTHER, "case": number, "faults": [{
        "line": line, "column": "job", "value": job,
        "problem": f"This job was handed in before with other content: it is case {number}.",
        "mend": "Give another bike or complaint its own number; correct that case in its own page."}]}


def _made(table: JobTable, row: dict[str, Any]) -> dict[str, Any]:
    try:
        case, _ = hand_in_job(shop=table.shop, job=row["job"], document=row["document"],
                              rider_email=row["rider_email"], rider_name=row["rider_name"])
    except JobKnown as known:
        return row | _other(row["line"], row["job"], known.case.number)
    except (CaseFaults, Refused) as refused:  # the questions may have changed since it was checked
        return row | {"state": FAULTY, "faults": [{"line": row["line"], "column": "", "value": "",
                                                   "problem": str(refused)[:300], "mend": "Send the line again."}]}
    return row | {"state": MADE, "case": case.number}
