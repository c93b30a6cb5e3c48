"""The rider's letter, once it is approved: on the page, and as PDF."""
from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from intake.access import case_for
from reports import markup
from reports.approved import approved_letter, approved_letters, outvoted, pdf_response
from reports.services import text_of
from reports.tongue import in_language


@require_safe
@cache_control(private=True, no_store=True)
def letter(request: HttpRequest, number: str) -> HttpResponse:
    """Show the newest approved letter, or the one of ``?round=``; where there is none yet, say so."""
    case = case_for(session=request.session, number=number)
    found = approved_letter(case, request.GET.get("round", ""))
    if found is None:
        return render(request, "reports/letter_not_yet.html", {"case": case}, status=404)
    if outvoted(found):
        return render(request, "reports/letter_outvoted.html", {"case": case, "letter": found})
    words, findings = text_of(letter=found, version=found.approved_version), found.draft.findings
    return render(request, "reports/letter.html", {
        "case": case, "letter": found, "words": markup.html(words), "findings": in_language(findings),
        # As in the PDF: figures hold advice, and a bike that must not be ridden gets none.
        "figures": [] if findings.get("stop_riding") else found.draft.figures, "letters": approved_letters(case),
    })


@require_safe
def letter_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """Return the letter as PDF."""
    case = case_for(session=request.session, number=number)
    found = approved_letter(case, request.GET.get("round", ""))
    if found and outvoted(found):
        return render(request, "reports/letter_outvoted.html", {"case": case, "letter": found})
    return pdf_response(found)
