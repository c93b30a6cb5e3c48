"""The counter: a shop's own queue, one of its cases, and what is printed."""
from __future__ import annotations

import re
from typing import Any

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from analysis.document import faults_of
from intake import services
from intake.api_rounds import photo_file, photo_of
from intake.models import Case, Round
from intake.states import OPEN_FOR_ANSWERS, sources
from reports import markup
from reports.approved import approved_letter, outvoted, pdf_response
from reports.desk_case import conclusion, outcome_title
from reports.desk_evidence import evidence
from reports.desk_pages import age_words
from reports.models import Draft
from reports.services import text_of
from reports.services.fees import shown_fee
from reports.shop_sheet import shop_sheet
from reports.shop_sign_in import at_the_counter

PAGE = 50
WAITS = {Case.State.COLLECTING: "waits for you", Case.State.NEEDS_ANSWER: "waits for your answer",
         Case.State.ADVISED: "the letter is here"}


@at_the_counter
@require_GET
def queue(request: HttpRequest) -> HttpResponse:
    """The shop's own cases, newest first; what waits for the shop is counted on top."""
    state, job, after = (request.GET.get(name, "").replace("\x00", "").strip() for name in ("state", "job", "after"))
    own = Case.objects.filter(shop=request.shop)
    rows = own.order_by("-id")
    rows = rows.filter(state=state) if state in Case.State.values else rows
    rows = rows.filter(shop_job__icontains=job) if job else rows
    rows = rows.filter(id__lt=int(after)) if re.fullmatch("[0-9]{1,18}", after) else rows
    found = list(rows[:PAGE + 1])
    query = {"state": state, "job": job}
    return render(request, "reports/shop/queue.html", {
        "rows": [_row(case) for case in found[:PAGE]], "state": state, "job": job, "after": after,
        "states": [("", "all"), *Case.State.choices], "ours": own.filter(state__in=OPEN_FOR_ANSWERS).count(),
        "older": urlencode({**query, "after": found[PAGE - 1].pk}) if len(found) > PAGE else "",
    })


def _row(case: Case) -> dict[str, Any]:
    return {"case": case, "age": age_words(case.state_since, timezone.now()), "waits": WAITS.get(case.state, "")}


@at_the_counter
@require_GET
def shop_case(request: HttpRequest, number: str) -> HttpResponse:
    """One case: how it stands, what was found in the trade's words, what the rider is told, what was handed in."""
    case = services.case_for(number=number, shop=request.shop)
    newest = case.current_round
    faults = {fault.path: f"{fault.problem} {fault.mend}".strip() for fault in faults_of(newest.document)}
    return render(request, "reports/shop/case.html", {
        "case": case, "round": newest, "rounds": case.rounds.count(), "done": Round.Done.choices,
        "age": age_words(case.state_since, timezone.now()), "is_open": case.state in OPEN_FOR_ANSWERS,
        "can_go_on": case.state == Case.State.ADVISED and case.state in sources(Case.State.COLLECTING),
        "outcome_title": outcome_title(case.outcome), "groups": [
            group for group in evidence(newest.document, newest.photos.all(), faults) if group.facts or group.photos],
        "fee": shown_fee(case=case), **_what_was_found(case),
    })


def _what_was_found(case: Case) -> dict[str, Any]:
    """Return the approved findings.  Before that nothing but a stop sign leaves the house, and that at once."""
    letter = approved_letter(case)
    if letter is None or outvoted(letter):
        draft = Draft.objects.filter(round__case=case).order_by("-round__number", "-pk").first() if case.stop else None
        stops = conclusion(draft.findings)["stop_signs"] if draft else {}
        return {"stops": case.stop, "stop_signs": stops}
    found, (sheet, no_sheet) = conclusion(letter.draft.findings), shop_sheet(case)
    return found | {
        "letter": letter, "letter_html": markup.html(text_of(letter=letter, version=letter.approved_version)),
        "findings": letter.draft.findings, "sheet": sheet.data if sheet else None, "no_sheet": no_sheet,
    }


@at_the_counter
@require_GET
def sheet_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """The service sheet on paper."""
    case = services.case_for(number=number, shop=request.shop)
    sheet, why = shop_sheet(case)
    if sheet is None:
        raise Http404(why)
    headers = {"Content-Disposition": f'inline; filename="{case.number}-service-sheet.pdf"'}
    return HttpResponse(sheet.pdf(), content_type="application/pdf", headers=headers)


@at_the_counter
@require_GET
def letter_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """The letter to the rider, as approved."""
    letter = approved_letter(services.case_for(number=number, shop=request.shop))
    return pdf_response(None if letter and outvoted(letter) else letter)


@at_the_counter
@require_GET
def shop_photo(request: HttpRequest, number: str, photo_id: int) -> FileResponse:
    """A photo of one of the shop's cases."""
    return photo_file(photo_of(request.shop, number, photo_id))
