"""The fee on the case page: quoted, agreed, settled, waived."""
from __future__ import annotations

from django.http import HttpRequest

from intake.models import Case, Round
from reports import services
from reports.desk_views import on_case_page


@on_case_page
def fee_quote(request: HttpRequest, case: Case, round: Round) -> str:
    """Quote what the case costs."""
    typed = request.POST
    services.quote_fee(case=case, amount=typed.get("amount", ""), currency=typed.get("currency", ""),
                       covers=typed.get("covers", ""), user=request.user)
    return "Quoted. The rider and the shop see it on their page."


@on_case_page
def fee_move(request: HttpRequest, case: Case, round: Round) -> str:
    """Note what became of the quote."""
    moved = services.move_fee(case=case, state=request.POST.get("state", ""), user=request.user,
                              reason=request.POST.get("fee_reason", ""))
    return f"Noted: the fee is {moved.get_state_display()}."
