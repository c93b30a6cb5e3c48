"""The letter on the desk: writing with a preview, and versions beside each other."""
from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from intake.errors import Refused
from intake.models import Round
from intake.services import case_for
from reports import services as letters
from reports.desk_case import letter_html
from reports.desk_differences import DiffLine, differences, unchanged_apart
from reports.desk_sign_in import tuner
from reports.desk_views import CONFLICT, case_address, chosen_round
from reports.desk_writing import Typed, as_text, rows, save, typed, version_number
from reports.models import Letter
from reports.travel_words import letter_lines


def letter_of(round: Round) -> Letter:
    """Return the round's newest letter; a round without a draft has none."""
    letters_of_round = Letter.objects.filter(round=round)
    letter = letters_of_round.select_related("round__case", "draft", "approved_by", "replaces").first()
    if letter is None:
        raise Http404("This round has no letter yet.")
    return letter


@tuner
@require_http_methods(["GET", "POST"])
def letter_edit(request: HttpRequest, number: str) -> HttpResponse:
    """Write the letter.  What was typed stays in its box whatever happens to the saving."""
    case = case_for(user=request.user, number=number)
    round = chosen_round(request, case)
    letter = letter_of(round)
    if request.method == "GET":
        return _edit_page(request, letter)
    given = typed(request)
    try:
        save(letter, given, request.user)
    except Refused as refused:
        letter.refresh_from_db()
        return _edit_page(request, letter, given, refused=refused, status=CONFLICT)
    messages.success(request, f"Saved as version {letter.version}.")
    return redirect(f"{case_address(case, round)}#letter")


@tuner
@require_http_methods(["GET", "POST"])
def letter_preview(request: HttpRequest, number: str) -> HttpResponse:
    """Show the words in the boxes as the rider will see them; nothing is saved."""
    case = case_for(user=request.user, number=number)
    letter = letter_of(chosen_round(request, case))
    if request.method == "GET":
        return redirect("letter-edit", number)
    return _edit_page(request, letter, typed(request))


@tuner
@require_POST
def letter_insert(request: HttpRequest, number: str) -> HttpResponse:
    """Save what was typed, and put own words at the end of a block."""
    case = case_for(user=request.user, number=number)
    round = chosen_round(request, case)
    letter, given = letter_of(round), typed(request)
    own = request.user.own_words.filter(pk=version_number(request.POST.get("own") or "0")).first()
    try:
        if own is None:
            raise Refused("No words of your own are chosen.", "Choose some from the list, or write some first.")
        with transaction.atomic():
            save(letter, given, request.user)
            letters.insert_own_words(letter=letter, based_on_version=letter.version, own=own, user=request.user,
                                     block=request.POST.get("into") or letters.blocks_of(letter=letter)[-1]["name"])
    except Refused as refused:
        letter.refresh_from_db()
        return _edit_page(request, letter, given, refused=refused, status=CONFLICT)
    messages.success(request, f"'{own.name}' is in, saved as version {letter.version}.")
    return redirect(f"{reverse('letter-edit', args=[number])}?round={round.number}"
                    + ("&whole=1" if given.text is not None else ""))


def _edit_page(request: HttpRequest, letter: Letter, given: Typed | None = None, *, refused: Refused | None = None,
               status: int = 200) -> HttpResponse:
    made = rows(letter, given)
    whole = given.text is not None if given else len(made) == 1 or bool(request.GET.get("whole"))
    text = given.text if given and given.text is not None else as_text(made)
    conflict = _conflict(letter, text) if given and given.based_on != letter.version else None
    return render(request, "reports/desk/letter_edit.html", {
        "case": letter.round.case, "round": letter.round, "letter": letter, "text": text, "conflict": conflict,
        "rows": [] if whole else made, "can_split": len(made) > 1, "own_words": request.user.own_words.all(),
        "into": request.POST.get("into", ""), "own": request.POST.get("own", ""),
        "based_on": letter.version, "preview": letter_html(text), "blocks": made,
        "english_html": letter_html(letter.draft.english_text), "as_saved": request.method == "GET",
        "refused": None if conflict else refused, "log_lines": _log_lines(letter),
    }, status=status)


def _log_lines(letter: Letter) -> str:
    """Return what the round's travel logs say, in the letter's language, ready to be copied."""
    logs = letter.round.travel_logs.defer("packed")
    return "\n".join(filter(None, (letter_lines(log.summary, letter.draft.language) for log in logs)))


def _conflict(letter: Letter, text: str) -> dict[str, Any]:
    """Return what somebody else saved meanwhile beside what was typed; the next save rests on theirs, knowingly."""
    newest = letter.versions.get(number=letter.version)
    return {
        "author": newest.author, "number": newest.number, "next": newest.number + 1,
        "lines": list(unchanged_apart(differences(newest.text, text))),
        "old_title": f"Version {newest.number}, {newest.author}",
    }


@tuner
@require_GET
def letter_versions(request: HttpRequest, number: str) -> HttpResponse:
    """All versions, and two of them side by side."""
    case = case_for(user=request.user, number=number)
    letter = letter_of(chosen_round(request, case))
    versions = list(letter.versions.all())
    by_number = {version.number: version for version in versions}
    new = _pick(by_number, request.GET.get("to"), letter.version)
    old = _pick(by_number, request.GET.get("from"), max(1, new.number - 1))
    return render(request, "reports/desk/versions.html", {
        "case": case, "round": letter.round, "letter": letter, "versions": versions, "old": old, "new": new,
        "lines": list(unchanged_apart(differences(old.text, new.text), around=1)) if old != new else _whole(new.text),
        "old_title": f"Version {old.number}, {old.author}", "new_title": f"Version {new.number}, {new.author}",
    })


def _whole(text: str) -> tuple[DiffLine, ...]:
    return differences(text, text)


def _pick(versions: dict[int, Any], asked: str | None, otherwise: int) -> Any:
    number = version_number(asked) if asked else otherwise
    if number not in versions:
        raise Http404("There is no such version.")
    return versions[number]
