"""Closing a case with what it really was, and correcting that later."""
from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from intake import services as cases
from intake.errors import Refused
from intake.models import Case
from reports import services as letters
from reports.desk_forms import CloseForm
from reports.desk_pages import cause_bars
from reports.desk_sign_in import tuner
from reports.models import Outcome
from reports.outcome_numbers import NUMBERS, foretold
from reports.outcome_odds import odds_of
from reports.phrases import quantity

CONFLICT, UNREADABLE = 409, 422
PICKED_IN_WORDS = ("words", "lesson", "also", *(one.name for one in NUMBERS))
"""Fields that the page lays out by hand."""
NOTHING_WRONG = "nothing wrong or measured badly"


@tuner
@require_http_methods(["GET", "POST"])
def close_case(request: HttpRequest, number: str) -> HttpResponse:
    """Close the case with what it really was, or say that anew of a closed one."""
    case = cases.case_for(user=request.user, number=number)
    form = CloseForm(request.POST) if request.method == "POST" else CloseForm(initial=_said(case))
    folded = _likeliest_first(form, case)
    refused, status = None, UNREADABLE if request.method == "POST" else 200
    if form.is_valid():
        try:
            letters.record_outcome(case=case, user=request.user, **form.as_outcome())
        except Refused as problem:
            refused, status = problem, CONFLICT
        else:
            messages.success(request, f"{case.number} is closed.")
            return redirect(reverse("desk-case", args=[case.number]))
    return render(request, "reports/desk/close.html", {
        "case": case, "form": form, "refused": refused, "by_hand": PICKED_IN_WORDS, "folded": folded,
        "unfold": form["outcome"].value() in folded, **_predicted(case, form),
        "earlier": said_so_far(case)}, status=status)


def _likeliest_first(form: CloseForm, case: Case) -> list[str]:
    """Put what we said first, and what can end any case, on top of the list; return the rest, which is folded."""
    draft = letters.told_first(case)
    if draft is None:
        return []
    said = [name for name, _ in odds_of(draft.findings)[:3]] + [NOTHING_WRONG, cases.SOMETHING_ELSE, cases.NEVER_HEARD]
    choices = list(form.fields["outcome"].choices)
    form.fields["outcome"].choices = sorted(choices, key=lambda pick: said.index(pick[0]) if pick[0] in said else 99)
    return [name for name, _ in choices if name not in said]


def _said(case: Case) -> dict[str, Any]:
    """Return what the standing outcome says, to be corrected."""
    row = Outcome.objects.filter(case=case, stands=True).first()
    if row is None:
        return {"outcome": case.outcome, "proof": case.outcome_proof, "words": case.outcome_words}
    return {"outcome": row.cause, "also": row.causes[1:], "proof": row.proof, "done_by": row.solved, "words": row.done,
            "lesson": row.lesson, "harm": "yes" if row.harm else "no", **row.measured}


def _predicted(case: Case, form: CloseForm) -> dict[str, Any]:
    draft = letters.told_first(case)
    findings = draft.findings if draft else {}
    said = foretold(findings)
    return {"bars": cause_bars(findings)[:3], "numbers": [
        {"field": form[one.name], "foretold": quantity(said[one.name], one.unit) if one.name in said else ""}
        for one in NUMBERS]}


def said_so_far(case: Case) -> list[dict[str, Any]]:
    """Return every outcome that was said of the case, newest first, in words."""
    titles = cases.outcomes()
    return [{"row": row, "causes": [titles.get(name, name) for name in row.causes],
             "proof": cases.PROOFS.get(row.proof, ""), "numbers": _both(row)}
            for row in Outcome.objects.filter(case=case).order_by("-id")[:20]]


def _both(row: Outcome) -> list[dict[str, str]]:
    return [{"title": one.title, "measured": quantity(row.measured[one.name], one.unit),
             "foretold": quantity(row.predicted[one.name], one.unit) if one.name in row.predicted else "not foretold"}
            for one in NUMBERS if one.name in row.measured]
