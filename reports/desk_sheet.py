"""The workshop's service sheet from the case page, on paper, before and after the letter is approved."""
from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.translation import override
from django.views.decorators.http import require_GET

from intake.services import case_for
from reports.desk_letter import letter_of
from reports.desk_sign_in import tuner
from reports.desk_views import chosen_round
from reports.shop_sheet import sheet_of_letter


@tuner
@require_GET
def service_sheet(request: HttpRequest, number: str) -> HttpResponse:
    """Show the sheet of a round's newest letter; it says where that is not approved yet."""
    case = case_for(user=request.user, number=number)
    letter = letter_of(chosen_round(request, case))
    with override(letter.draft.language):
        sheet, why = sheet_of_letter(letter)
        if sheet is None:
            raise Http404(why)
        pdf = sheet.pdf()
    name = f"{case.number}-round-{letter.round.number}-service-sheet.pdf"
    return HttpResponse(pdf, content_type="application/pdf", headers={
        "Content-Disposition": f'inline; filename="{name}"', "Cache-Control": "private, no-store"})
