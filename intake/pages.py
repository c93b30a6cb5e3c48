"""The form's own pages: one for each section and each bench test, saved on its own."""
from __future__ import annotations

from copy import deepcopy
from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from analysis.catalogue.bench import BEFORE_ANY_TEST
from intake import services
from intake.access import case_for
from intake.errors import Refused
from intake.form import fields_of
from intake.models import Case, Photo, Round
from intake.other_round import of_another_round, other_round
from intake.paths import is_blank, put
from intake.photo_pieces import add_photo
from intake.photo_words import photos_to_come
from intake.photos import remove_photo
from intake.posted import read_posted
from intake.reading import sag_results
from intake.reads import note_answer
from intake.sheets import Sheet, sheet_for
from intake.stations import FIRST, Station
from intake.words import translated

get_or_post = require_http_methods(["GET", "HEAD", "POST"])


@get_or_post
@never_cache
def section(request: HttpRequest, number: str, name: str) -> HttpResponse:
    """Show or save one page of questions."""
    return _page(request, sheet_for(request, number), name, bench=False)


@get_or_post
@never_cache
def bench_test(request: HttpRequest, number: str, name: str) -> HttpResponse:
    """Show or save one bench test."""
    return _page(request, sheet_for(request, number), name, bench=True)


@require_GET
@never_cache
def photo(request: HttpRequest, number: str, photo_id: int) -> HttpResponse:
    """Send a photo to the case's rider or to a tuner; for anyone else it does not exist."""
    case, own = _case_of_photo(request, number)
    kept = get_object_or_404(Photo, pk=photo_id, round__case=case)
    try:
        answer = FileResponse(kept.file.open("rb"), content_type="image/jpeg")
    except FileNotFoundError:  # taken away a moment ago, or not brought back with the database
        raise Http404("The photo is gone.") from None
    if not own:
        note_answer(request, answer, {"number": number, "photo_id": photo_id}, user_id=request.user.pk)
    return answer


@require_POST
def photo_remove(request: HttpRequest, number: str, photo_id: int) -> HttpResponse:
    """Take a photo away again."""
    sheet = sheet_for(request, number)
    kept = get_object_or_404(Photo, pk=photo_id, round=sheet.round)
    station = _station(sheet, kept.place)
    try:
        remove_photo(photo=kept)
    except Refused as refused:
        return _shown(request, sheet, station, {"refused": refused}, status=409)
    messages.success(request, _("The photo is gone."))
    return redirect(f"{station.url}#photos")


def _case_of_photo(request: HttpRequest, number: str) -> tuple[Case, bool]:
    """Return the case, and whether it is the reader's own."""
    try:
        return case_for(number=number, session=request.session), True
    except Http404:
        return case_for(number=number, user=request.user), False


def _station(sheet: Sheet, name: str, bench: bool | None = None) -> Station:
    kinds = (False, True) if bench is None else (bench,)
    found = next(filter(None, (sheet.way.named(name, kind) for kind in kinds)), None)
    if found is None:
        raise Http404("There is no such page.")
    return found


def _page(request: HttpRequest, sheet: Sheet, name: str, bench: bool) -> HttpResponse:
    station = _station(sheet, name, bench)
    if request.method == "POST":
        return _save(request, sheet, station)
    if not sheet.is_open:
        return redirect("check", sheet.case.number)
    if request.path != station.url:  # typed in small letters: what the phone keeps lies under the case's own address
        return redirect(station.url)
    return _shown(request, sheet, station, {})


def _save(request: HttpRequest, sheet: Sheet, station: Station) -> HttpResponse:
    """Save first, whatever is wrong with it; then the photos; then say what the page has to say."""
    answers = read_posted(station.place.questions, sheet.document, request.POST)
    if of_another_round(request.POST.get("round"), sheet.round):
        return _shown_unsaved(request, sheet, station, answers, other_round())
    before = {(field.path, words) for field, words in station.doubts}
    try:
        saved = services.save_answers(round=sheet.round, answers=answers, revision=revision_in(request))
    except Refused as refused:
        _add_photos(request, sheet.round, station.place.name)  # a browser forgets them; what it shows again has none
        return _shown_unsaved(request, sheet, station, answers, refused)
    fresh = Sheet(sheet.case, saved, saved.document)
    now = _station(fresh, station.place.name, station.is_bench)
    refused_photo = _add_photos(request, saved, now.place.name)
    if refused_photo is not None:
        return _shown(request, fresh, now, {
            "photo_refused": refused_photo, "caption": request.POST.get("caption", "")}, status=422)
    _say_saved(request, fresh, now, wrote=saved.revision != sheet.round.revision)
    return redirect(_where_next(request, fresh, now, before))


def _add_photos(request: HttpRequest, round: Round, place: str) -> Refused | None:
    """Take in every photo that may be one; return what is said about the last one that is none."""
    last = None
    for upload in request.FILES.getlist("photo"):
        try:
            add_photo(round=round, place=place, upload=upload, caption=request.POST.get("caption", ""),
                      path=request.POST.get("photo_path", ""))
        except Refused as refused:
            last = refused
    return last


def revision_in(request: HttpRequest) -> int | None:
    """Return the revision that the page was made from; None where it does not say."""
    typed = request.POST.get("revision", "")
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else None


def _say_saved(request: HttpRequest, sheet: Sheet, station: Station, wrote: bool) -> None:
    """Say what was saved; ``wrote`` is false where nothing was new, and then no other device's answer was replaced."""
    messages.success(request, _("Saved: %(page)s. %(answered)d of %(total)d answered.") % {
        "page": translated(station.place.title), "answered": station.answered, "total": station.total},
        extra_tags=station.url)  # the phone's word that this page need not be kept any longer
    if not wrote:
        return
    for path, change in services.replaced_answers(round=sheet.round).items():
        field = next((field for field in _fields(station) if field.path == path), None)
        if field is not None:
            messages.warning(request, _(
                "%(question)s: another device had saved “%(was)s” meanwhile. Yours stands now. Please look again.") % {
                    "question": field.title, "was": _in_words(change.get("was"))})


def _fields(station: Station) -> list[Any]:
    return [field for row in station.rows for field in row.fields]


def _in_words(raw: Any) -> str:
    value = raw.get("value") if isinstance(raw, dict) else raw
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value or _("nothing"))


def _where_next(request: HttpRequest, sheet: Sheet, station: Station, doubts_before: set[tuple[str, str]]) -> str:
    """Stay where something has to be looked at, a bench test's result included; otherwise go on."""
    new_doubts = {(field.path, words) for field, words in station.doubts} - doubts_before
    then = request.POST.get("then", "next")
    if station.faults or new_doubts or (sheet.stops and station.place.name in ("safety", "first")):
        return f"{station.url}#look"
    if request.POST.get("settle"):
        return f"{station.url}#{request.POST['settle'].partition('|')[0].replace('.', '-')}"
    if then == "photo":
        return f"{station.url}#photos"
    if station.is_bench and then == "stay":
        return station.url
    after = sheet.way.after(station.place.name)
    case = redirect("case-page", sheet.case.number).url
    return case if then == "list" or not after else after


def _shown_unsaved(
    request: HttpRequest, sheet: Sheet, station: Station, answers: dict[str, Any], refused: Refused,
) -> HttpResponse:
    typed = deepcopy(sheet.document)
    for path, raw in answers.items():
        put(typed, path, raw, {})
    shown = Sheet(sheet.case, sheet.round, typed)
    return _shown(request, shown, _station(shown, station.place.name, station.is_bench), {"refused": refused},
                  status=409)


def _shown(
    request: HttpRequest, sheet: Sheet, station: Station, more: dict[str, Any], status: int = 200,
) -> HttpResponse:
    to_come = photos_to_come(sheet.round, station.place.name)
    context: dict[str, Any] = {
        "sheet": sheet, "station": station, "after": sheet.way.after(station.place.name),
        "not_needed_faults": any(field.faults for field in fields_of(station.not_needed)),
        "photos": sheet.round.photos.filter(place=station.place.name).order_by("id"),
        "photos_to_come": to_come, "any_refused": any(one.refused for one in to_come),
        "two_legs": any(row.by_leg for row in station.rows),
    }
    if station.is_bench:
        context |= _of_a_test(sheet, station)
    page = "bench" if station.is_bench else "first" if station.place is FIRST else "section"
    return render(request, f"intake/{page}.html", context | more, status=status)


def _of_a_test(sheet: Sheet, station: Station) -> dict[str, Any]:
    ways_out = [row for row in station.rows if row.question.path.endswith(".not_done")]
    by_hand = [row for row in station.rows if row.question.by_hand]
    return {
        "before": BEFORE_ANY_TEST, "sags": sag_results(sheet.read) if station.place.name == "sag" else [],
        "results": [row for row in station.rows if row not in (*ways_out, *by_hand)], "could_not": ways_out,
        "by_hand": by_hand, "by_hand_begun": any(not is_blank(field.raw) for field in fields_of(by_hand)),
        "reasons": [_("Nobody to help"), _("I lack a tool"), _("It felt unsafe"), _("I cannot, physically")],
        "why": sheet.way.why(station), "purpose": translated(station.place.purpose),
    }
