"""Another leading cause than the engine's: judged with a reason, and taken back."""
from __future__ import annotations

from django.http import Http404, HttpRequest

from intake.models import Case, Round
from reports import services as letters
from reports.desk_views import on_case_page


@on_case_page
def judge(request: HttpRequest, case: Case, round: Round) -> str:
    """Store the tuner's own leading cause."""
    typed = request.POST.get("revision", "")
    if not typed.isdecimal() or len(typed) > 9:
        raise Http404("The page did not say which answers it showed.")
    made = letters.judge(round=round, revision=int(typed), cause=request.POST.get("cause", ""),
                         reason=request.POST.get("judgement_reason", ""), user=request.user)
    return f"Judged: {letters.judged_title(made)}. The worker writes the letter again from it."


@on_case_page
def judgement_take_back(request: HttpRequest, case: Case, round: Round) -> str:
    """Let the engine's verdict lead again."""
    letters.take_back_judgement(round=round, user=request.user)
    return "Your judgement is taken back. The worker writes the letter again."
