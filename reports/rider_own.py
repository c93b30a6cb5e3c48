"""What is the rider's own: all data in one file, the erasing, the reminders, and two rounds side by side."""
from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from intake import services
from intake.errors import Refused
from intake.links import SESSION_KEY
from intake.models import Round
from intake.sheets import Sheet, sheet_for
from reports.rider_numbers import answer_pairs, number_pairs
from reports.take_along import archive

ERASED_KEY = "erased"
"""In the session: numbers of the cases that were erased from here, for a second click."""


@require_GET
@never_cache
def before_and_after(request: HttpRequest, number: str) -> HttpResponse:
    """Show the newest round, or the one of ``?round=``, beside the one before it."""
    sheet = sheet_for(request, number)
    rounds = list(sheet.case.rounds.order_by("number"))
    before, after = _two_rounds(rounds, request.GET.get("round", ""))
    return render(request, "reports/rider/before_and_after.html", {
        "sheet": sheet, "rounds": rounds, "before": before, "after": after,
        "numbers": number_pairs(before, after), "answers": answer_pairs(before, after),
        "numbers_title": _("Main numbers"), "answers_title": _("Answers that changed"),
        "no_numbers": _("Neither round has a number to compare yet."), "no_answers": _("All answers are the same."),
    })


def _two_rounds(rounds: list[Round], asked: str) -> tuple[Round, Round]:
    known = {str(round.number): place for place, round in enumerate(rounds)}
    place = known.get(asked, 0) if asked else len(rounds) - 1
    if place < 1:
        raise Http404("There is no earlier round.")
    return rounds[place - 1], rounds[place]


@require_GET
@never_cache
def take_along(request: HttpRequest, number: str) -> StreamingHttpResponse:
    """Send everything that is on file about the case as one zip, made while it is sent."""
    sheet = sheet_for(request, number)
    return StreamingHttpResponse(archive(sheet.case), content_type="application/zip", headers={
        "Content-Disposition": f'attachment; filename="{sheet.case.number}.zip"'})


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def erase(request: HttpRequest, number: str) -> HttpResponse:
    """Ask for the case's number once more, then erase the case."""
    if number.upper() in request.session.get(ERASED_KEY, []):
        return redirect("home")
    sheet = sheet_for(request, number)
    if request.method != "POST":
        return render(request, "reports/rider/erase.html", {"sheet": sheet})
    typed = request.POST.get("number", "")
    try:
        services.erase_case(case=sheet.case, typed=typed)
    except Refused as refused:
        return render(request, "reports/rider/erase.html", {"sheet": sheet, "typed": typed, "refused": refused},
                      status=422)
    return _gone(request, sheet)


def _gone(request: HttpRequest, sheet: Sheet) -> HttpResponse:
    number = sheet.case.number
    request.session[SESSION_KEY] = {
        other: link for other, link in request.session.get(SESSION_KEY, {}).items() if other != number}
    request.session[ERASED_KEY] = [*request.session.get(ERASED_KEY, []), number]
    messages.success(request, _("Case %(number)s is erased.") % {"number": number})
    return redirect("home")


@require_POST
def reminders(request: HttpRequest, number: str) -> HttpResponse:
    """Stop the reminders of this case, or start them again."""
    sheet = sheet_for(request, number)
    services.set_reminders(case=sheet.case, wanted=request.POST.get("remind") == "yes")
    messages.success(request, _("Saved: reminders."))
    return redirect("case-page", sheet.case.number)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@csrf_exempt
def no_more_reminders(request: HttpRequest, token: str) -> HttpResponse:
    """Stop a case's reminders by the key in a mail: a button for people, one POST for mail programs.

    Mail programs post without a cookie, so there is no check against forged requests; the key itself cannot be forged
    and does nothing else.
    """
    case = services.case_of_reminder_key(key=token)
    if case is None:
        raise Http404("There is no such case.")
    if request.method == "POST":
        services.set_reminders(case=case, wanted=False)
    return render(request, "reports/rider/no_more_reminders.html", {"stopped": case.no_reminders})
