"""Asking the rider: the best next tests to pick from, answers on file to be looked at again, or a question."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import override
from django.views.decorators.http import require_http_methods

from intake import services as cases
from intake.asking import MOST, is_done, on_file
from intake.danger_words import spoken_of
from intake.errors import Refused
from intake.models import Case
from reports.desk_forms import AskForm, prefilled_question
from reports.desk_pages import place_of, question_title
from reports.desk_sign_in import tuner
from reports.models import Draft
from reports.phrases import percent, quantity

CONFLICT, UNREADABLE = 409, 422


@tuner
@require_http_methods(["GET", "POST"])
def ask(request: HttpRequest, number: str) -> HttpResponse:
    """Ask the rider for up to three things; the form comes filled in where the engine knows what it wants to know."""
    case = cases.case_for(user=request.user, number=number)
    return _asked(request, case) if request.method == "POST" else _blank(request, case, newest_findings(case))


def _blank(request: HttpRequest, case: Case, findings: Mapping[str, Any]) -> HttpResponse:
    about = request.GET.get("about", "")
    test = findings.get("next_test") if about == "next-test" else None
    form = AskForm(initial={} if test else _on_danger(case, about) or prefilled_question(findings, about))
    return _page(request, case, findings, form, picked=[test["name"]] if test else [])


def _on_danger(case: Case, about: str) -> dict[str, str]:
    """Return the question of the safety page again, for ``about`` 'spoken-0': the rider's own words made us ask."""
    kind, _, position = about.partition("-")
    found = spoken_of(case.current_round) if kind == "spoken" else ()
    if not position.isdecimal() or int(position) >= len(found):
        return {}
    one = found[int(position)]
    return {"place": place_of(one.path), "question": (
        f'You wrote: "{one.words}" Please look at the bike again and answer on the safety page: '
        f"{question_title(one.path)}? Please do not ride until you have looked.")}


def _asked(request: HttpRequest, case: Case) -> HttpResponse:
    form = AskForm(request.POST)
    picked, again = request.POST.getlist("test"), request.POST.getlist("again")
    refused, status = None, UNREADABLE
    if form.is_valid() and not (form.cleaned_data["question"] or picked or again):
        form.add_error("question", "Tick a test, or write what you want to know.")
    elif form.is_valid():
        try:
            cases.ask_rider(case=case, user=request.user, question=form.cleaned_data["question"],
                            path=form.cleaned_data["place"], tests=picked, still_right=again)
        except Refused as problem:
            refused, status = problem, CONFLICT
        else:
            messages.success(request, _asked_words(case))
            return redirect(reverse("desk-case", args=[case.number]))
    return _page(request, case, newest_findings(case), form, picked=picked, again=again, refused=refused,
                 status=status)


def _asked_words(case: Case) -> str:
    case.refresh_from_db()
    if not case.rider_email:
        way = "There is no address to mail it to;"
    elif case.asked.get("mail"):
        way = f"The mail to {case.rider_email} has not gone out yet and is tried again for two hours;"
    else:
        way = f"It is mailed to {case.rider_email}, and"
    return f"Asked. {way} the rider's page shows it first and is open for the answer. The case comes back on top."


def _page(request: HttpRequest, case: Case, findings: Mapping[str, Any], form: AskForm, *, picked: list[str],
          again: list[str] | None = None, refused: Refused | None = None, status: int = 200) -> HttpResponse:
    with override("en"):
        held = [{"path": field.path, "title": field.title, "said": field.said}
                for field in on_file(case.current_round.document)]
    return render(request, "reports/desk/ask.html", {
        "case": case, "form": form, "refused": refused, "most": MOST, "picked": picked, "again": again or [],
        "tests": tests_to_pick(findings, case.current_round.document), "held": held}, status=status)


def tests_to_pick(findings: Mapping[str, Any], document: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the best next tests in words; none where a safety sign stops the bike, none that is on file already."""
    if findings.get("stop_riding"):
        return []
    tests = findings.get("tests") or [one for one in [findings.get("next_test")] if one]
    return [{**test, "gain": _gain_words(test.get("gain_bits")), "answers": [
        {**meant, "answer": _answer_words(meant), "chance": percent(meant["chance"]),
         "probability": percent(meant["probability"])} for meant in test.get("answers") or ()]}
        for test in tests if not is_done(document, test["name"])]


def _gain_words(bits: float | None) -> str:
    """Return what a test is expected to tell: halving the open possibilities is one bit."""
    return "" if bits is None else f"{bits:.2f} bits expected"


def _answer_words(meant: Mapping[str, Any]) -> str:
    if meant["answer"]:
        return str(meant["answer"])
    low, high = (None if end is None else quantity(end, meant["unit"]) for end in (meant["low"], meant["high"]))
    return f"under {high}" if low is None else f"over {low}" if high is None else f"{low} to {high}"


def newest_findings(case: Case) -> dict[str, Any]:
    """Return what the engine found last, or nothing yet."""
    draft = Draft.objects.filter(round__case=case).order_by("-round__number", "-revision", "-id").first()
    return draft.findings if draft else {}
