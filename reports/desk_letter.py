"""The letter on the desk: writing with a preview, versions beside each other, approval and sending."""
from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from intake.errors import Refused
from intake.models import Case, Round
from intake.services import case_for
from reports import services as letters
from reports.desk_case import letter_html
from reports.desk_differences import differences, unchanged_apart
from reports.desk_sign_in import tuner
from reports.desk_views import CONFLICT, case_address, chosen_round, on_case_page
from reports.models import Delivery, Letter
from reports.travel_words import letter_lines


def letter_of(round: Round) -> Letter:
    """Return the round's newest letter; a round without a draft has none."""
    letters_of_round = Letter.objects.filter(round=round)
    letter = letters_of_round.select_related("round__case", "draft", "approved_by", "replaces").first()
    if letter is None:
        raise Http404("This round has no letter yet.")
    return letter


def _number(typed: str | None) -> int:
    """Return a version's number out of a form's hidden field."""
    if not typed or not typed.isdecimal() or len(typed) > 6:
        raise Http404("The page did not say which version it showed.")
    return int(typed)


@tuner
@require_http_methods(["GET", "POST"])
def letter_edit(request: HttpRequest, number: str) -> HttpResponse:
    """Write the letter.  What was typed stays in the box whatever happens to the saving."""
    case = case_for(user=request.user, number=number)
    round = chosen_round(request, case)
    letter = letter_of(round)
    if request.method == "GET":
        return _edit_page(request, letter, letters.text_of(letter=letter), letter.version)
    text, based_on = _typed(request), _number(request.POST.get("based_on"))
    try:
        letters.edit_letter(letter=letter, based_on_version=based_on, text=text, user=request.user)
    except Refused as refused:
        letter.refresh_from_db()
        return _edit_page(request, letter, text, based_on, refused=refused, status=CONFLICT)
    messages.success(request, f"Saved as version {letter.version}.")
    return redirect(f"{case_address(case, round)}#letter")


@tuner
@require_http_methods(["GET", "POST"])
def letter_preview(request: HttpRequest, number: str) -> HttpResponse:
    """Show the words in the box as the rider will see them; nothing is saved."""
    case = case_for(user=request.user, number=number)
    letter = letter_of(chosen_round(request, case))
    if request.method == "GET":
        return redirect("letter-edit", number)
    return _edit_page(request, letter, _typed(request), _number(request.POST.get("based_on")))


def _typed(request: HttpRequest) -> str:
    return request.POST.get("text", "").replace("\r\n", "\n")


def _edit_page(request: HttpRequest, letter: Letter, text: str, based_on: int, *, refused: Refused | None = None,
               status: int = 200) -> HttpResponse:
    conflict = _conflict(letter, text) if based_on != letter.version else None
    return render(request, "reports/desk/letter_edit.html", {
        "case": letter.round.case, "round": letter.round, "letter": letter, "text": text, "conflict": conflict,
        "based_on": letter.version, "preview": letter_html(text),
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
        "lines": differences(old.text, new.text),
        "old_title": f"Version {old.number}, {old.author}", "new_title": f"Version {new.number}, {new.author}",
    })


def _pick(versions: dict[int, Any], typed: str | None, otherwise: int) -> Any:
    number = _number(typed) if typed else otherwise
    if number not in versions:
        raise Http404("There is no such version.")
    return versions[number]


# -- buttons on the case page ------------------------------------------------------------------------------------


@on_case_page
def letter_approve(request: HttpRequest, case: Case, round: Round) -> str:
    """Approve the version that the page showed."""
    letter = letters.approve(letter=letter_of(round), version=_number(request.POST.get("version")), user=request.user)
    return f"Version {letter.approved_version} is approved. It can go out now."


@on_case_page
def letter_unapprove(request: HttpRequest, case: Case, round: Round) -> str:
    """Take an approval back while nothing has been sent."""
    letters.withdraw_approval(letter=letter_of(round), user=request.user)
    return "The approval is taken back; the letter can be edited."


@on_case_page
def letter_send(request: HttpRequest, case: Case, round: Round) -> str:
    """Send the approved letter to one address; the same address twice sends once."""
    delivery = letters.queue_delivery(letter=letter_of(round), to=request.POST.get("to", ""), user=request.user)
    return f"The letter to {delivery.to} is {delivery.get_state_display()}."


@on_case_page
def letter_new_draft(request: HttpRequest, case: Case, round: Round) -> str:
    """Take the new draft's words."""
    letter = letters.use_new_draft(letter=letter_of(round), user=request.user)
    return f"Version {letter.version} has the new draft's words."


@on_case_page
def letter_keep_words(request: HttpRequest, case: Case, round: Round) -> str:
    """Keep the tuner's words on the new draft's findings."""
    letter = letters.keep_words(letter=letter_of(round), user=request.user)
    return f"The words of version {letter.version} stay, on the new findings."


@on_case_page
def delivery_arrived(request: HttpRequest, case: Case, round: Round, delivery: int) -> str:
    """Note that a mail of unclear fate did arrive."""
    letters.settle_unknown(delivery=_delivery(round, delivery), arrived=True, user=request.user)
    return "Noted: it arrived."


@on_case_page
def delivery_again(request: HttpRequest, case: Case, round: Round, delivery: int) -> str:
    """Send a failed mail, or one that did not arrive, once more."""
    row = _delivery(round, delivery)
    if row.state == Delivery.State.UNKNOWN:
        letters.settle_unknown(delivery=row, arrived=False, user=request.user)
    else:
        letters.retry_delivery(delivery=row, user=request.user)
    return f"The letter to {row.to} goes out again."


def _delivery(round: Round, pk: int) -> Delivery:
    return get_object_or_404(Delivery.objects.select_related("letter__round__case", "letter__draft"),
                             pk=pk, letter__round=round)
