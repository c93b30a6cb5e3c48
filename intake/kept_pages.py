"""What a phone that was without a signal asks and sends: a fresh key against forged requests, and the pages it kept."""
from __future__ import annotations

from copy import deepcopy
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from intake import services
from intake.errors import Refused
from intake.form import Field, places_of
from intake.models import Round
from intake.paths import at_path, put
from intake.posted import read_posted
from intake.services import Clash
from intake.sheets import Sheet, sheet_for
from intake.stations import Station
from intake.words import translated


@require_GET
def offline_worker(request: HttpRequest) -> HttpResponse:
    """Send the script that serves a case's pages without a signal.  It stands at the root: its place is its reach."""
    answer = render(request, "intake/offline_worker.js", content_type="text/javascript; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    return answer


@require_GET
@never_cache
def kept(request: HttpRequest, number: str) -> HttpResponse:
    """Say where the case stands, which pages to keep, and the key to send with."""
    sheet = sheet_for(request, number)
    way = [station.url for station in sheet.way.stations] if sheet.is_open else []
    return JsonResponse({
        "token": get_token(request), "round": sheet.round.number, "revision": sheet.round.revision,
        "open": sheet.is_open, "pages": [reverse("case-page", args=[sheet.case.number]), *way]})


@require_POST
@never_cache
def kept_section(request: HttpRequest, number: str, name: str) -> HttpResponse:
    """Take in a page of questions that waited on a phone."""
    return _take_in(request, sheet_for(request, number), name, bench=False)


@require_POST
@never_cache
def kept_test(request: HttpRequest, number: str, name: str) -> HttpResponse:
    """Take in a bench test that waited on a phone."""
    return _take_in(request, sheet_for(request, number), name, bench=True)


def _take_in(request: HttpRequest, sheet: Sheet, name: str, bench: bool) -> HttpResponse:
    station = sheet.way.named(name, bench)
    if station is None:
        raise Http404("There is no such page.")
    revision = _whole(request.POST.get("revision"))
    if revision is None or _whole(request.POST.get("kept~round")) != sheet.round.number:
        return _refused(_other_round(), 409)
    try:
        answers = _answers(station, sheet.document, request.POST)
        saved = services.save_kept_answers(round=sheet.round, answers=answers, revision=revision)
    except Clash as clash:
        return JsonResponse(_side_by_side(clash, station, answers), status=409)
    except Refused as refused:
        return _refused(refused, 422 if sheet.is_open else 409)
    return JsonResponse({"revision": saved.revision, "look": _look(sheet, saved, name, bench)})


def _answers(station: Station, document: dict[str, Any], data: QueryDict) -> dict[str, Any]:
    """Return the page's answers.  One of them may be what makes the next question apply, so it is read twice."""
    answers = read_posted(station.place.questions, document, data)
    so_far = deepcopy(document)
    for path, raw in answers.items():
        put(so_far, path, raw, {})
    answers |= read_posted(station.place.questions, so_far, data)
    for question in station.place.questions:
        for path in question.paths():
            if path not in answers and data.get(path, "").strip():
                raise Refused(
                    _("This is not asked any more: %(question)s. You typed: %(typed)s.") % {
                        "question": translated(question.title), "typed": data[path][:200]},
                    _("Open the page and look. If it still matters, write it into the words about the complaint."))
    return answers


def _other_round() -> Refused:
    return Refused(_("These answers were typed for another round of this case."),
                   _("Open the page and compare: type in what still holds, then throw these away."))


def _look(sheet: Sheet, saved: Round, name: str, bench: bool) -> int:
    """Return how many of the page's answers want to be looked at again."""
    station = Sheet(sheet.case, saved, saved.document).way.named(name, bench)
    return len(station.faults) + len(station.doubts) if station else 0


def _side_by_side(clash: Clash, station: Station, answers: dict[str, Any]) -> dict[str, Any]:
    """Return each answer twice: as it waited on the phone, and as it stands in the case now, still asked or not."""
    fields = {path: Field(path, question, side, "") for question in station.place.questions
              for side, path in places_of(question)}
    found = []
    for path in clash.paths:
        field, (there, now) = fields[path], at_path(clash.round.document, path)
        found.append({"path": path, "title": field.title, "phone": _in_words(field, answers[path]),
                      "case": _in_words(field, now if there else "")})
    return {"revision": clash.round.revision, "clashes": found}


def _in_words(field: Field, raw: Any) -> str:
    shown = Field(field.path, field.question, field.side, raw)
    return ", ".join(filter(None, (shown.said, shown.known_words)))


def _refused(refused: Refused, status: int) -> HttpResponse:
    return JsonResponse({"problem": refused.problem, "mend": refused.mend}, status=status)


def _whole(typed: str | None) -> int | None:
    return int(typed) if typed and typed.isascii() and typed.isdigit() and len(typed) < 10 else None
