"""What leaves the house: approved letters and nothing else, whoever asks."""
from __future__ import annotations

from django.db.models import QuerySet
from django.http import Http404, HttpResponse

from intake.models import Case
from reports.models import Letter


def approved_letters(case: Case, *, replaced: bool = False) -> QuerySet[Letter]:
    """Return the case's approved letters, newest first, without their PDFs; ``replaced`` ones only where asked for."""
    approved = Letter.objects.filter(round__case=case, approved_at__isnull=False)
    if not replaced:
        approved = approved.exclude(replaced_by__approved_at__isnull=False)
    return approved.select_related("round__case", "draft", "approved_by", "replaces").order_by(
        "-round__number", "-id").defer("pdf")


def approved_letter(case: Case, round_number: str = "") -> Letter | None:
    """Return the approved letter of one round, by default the newest; None where there is none."""
    letters = approved_letters(case)
    if round_number:
        known = round_number.isdecimal() and len(round_number) < 5
        letters = letters.filter(round__number=int(round_number)) if known else letters.none()
    return letters.first()


def outvoted(letter: Letter) -> bool:
    """Say whether a stop sign came after this letter: from then on nobody is shown its advice."""
    return letter.round.case.stop and not letter.draft.findings.get("stop_riding")


def pdf_response(letter: Letter | None) -> HttpResponse:
    """Return the PDF as it was approved.  Raises ``Http404`` where there is no approved letter."""
    if letter is None:
        raise Http404("There is no approved letter.")
    name = f"{letter.round.case.number}-round-{letter.round.number}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"', "Cache-Control": "private, no-store"}
    return HttpResponse(bytes(letter.pdf), content_type="application/pdf", headers=headers)
