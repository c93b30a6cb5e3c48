"""The counter: forwarding a job, and answering or correcting it while it is open."""
from __future__ import annotations

from copy import deepcopy
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from analysis.document import CaseFaults, Fault
from intake import services
from intake.errors import Refused
from intake.models import Case, Round
from intake.other_round import of_another_round, other_round, photo_of_another_round
from intake.pages import revision_in
from intake.photo_pieces import add_photo
from intake.states import OPEN_FOR_ANSWERS
from reports.shop_form import BLANK, PLACES, answers_in, elsewhere, parts_for, shown, with_answers
from reports.shop_sign_in import at_the_counter

UNREADABLE, CONFLICT = 422, 409
HEAD = ("job", "rider_name", "rider_email")
get_or_post = require_http_methods(["GET", "HEAD", "POST"])


@at_the_counter
@get_or_post
def new_job(request: HttpRequest) -> HttpResponse:
    """Forward a job: one page, and nothing typed is lost where something has to be mended."""
    head = {name: request.POST.get(name, "").strip() for name in HEAD}
    if request.method != "POST":
        return _card(request, head, deepcopy(BLANK) | {"service": {"by": "workshop"}})
    typed = with_answers(deepcopy(BLANK), answers_in(parts_for(), BLANK, request.POST))
    if request.POST.get("settle"):
        return _card(request, head, typed)
    try:
        case, fresh = services.hand_in_job(shop=request.shop, document=typed, hand_in_now="wait" not in request.POST,
                                           **head)
    except CaseFaults as caught:
        return _card(request, head, typed, caught.faults, status=UNREADABLE)
    except services.JobKnown as known:
        return _card(request, head, typed, refused=known, known=known.case, status=CONFLICT)
    except Refused as refused:
        return _card(request, head, typed, refused=refused, status=UNREADABLE)
    if "wait" in request.POST:
        return redirect(f"{reverse('shop-answers', args=[case.number])}#photos")
    messages.success(request, f"Job {case.shop_job} is handed in as case {case.number}." if fresh else
                     f"Job {case.shop_job} was handed in before with the same answers: it is case {case.number}.")
    return redirect("shop-case", case.number)


def _card(request: HttpRequest, head: dict[str, str], document: dict[str, Any], faults: tuple[Fault, ...] = (),
          status: int = 200, **more: Any) -> HttpResponse:
    parts = shown(parts_for(), document, faults)
    return render(request, "reports/shop/new_job.html", {
        "head": head, "parts": parts, "faults": faults, "elsewhere": elsewhere(faults, parts), **more}, status=status)


@at_the_counter
@get_or_post
def answers(request: HttpRequest, number: str) -> HttpResponse:
    """Answer the tuner, correct the job card or fill in one bench test, while the case is open."""
    case = services.case_for(number=number, shop=request.shop)
    newest, place = case.current_round, request.GET.get("page", "")
    if case.state not in OPEN_FOR_ANSWERS or newest.handed_in_at:
        messages.info(request, "The answers are handed in. They open again when the tuner asks something.")
        return redirect("shop-case", case.number)
    if place and place not in PLACES:
        raise Http404("There is no such page.")
    if request.method != "POST":
        return _form(request, case, newest, place, newest.document)
    return _save(request, case, newest, place)


def _save(request: HttpRequest, case: Case, newest: Round, place: str) -> HttpResponse:
    """Save first, whatever is wrong with it; then hand in where that was asked for."""
    answered = answers_in(parts_for(place), newest.document, request.POST)
    try:
        if of_another_round(request.POST.get("round"), newest):
            raise other_round()
        saved = services.save_answers(round=newest, answers=answered, revision=revision_in(request), who=request.who)
        if "hand_in" in request.POST:
            services.hand_in(round=saved, who=request.who, revision=saved.revision)
    except CaseFaults as caught:
        return _form(request, case, saved, place, saved.document, caught.faults, status=UNREADABLE)
    except Refused as refused:
        typed = with_answers(deepcopy(newest.document), answered)
        return _form(request, case, newest, place, typed, refused=refused, status=CONFLICT)
    if "hand_in" in request.POST:
        messages.success(request, "Handed in.")
        return redirect("shop-case", case.number)
    messages.success(request, "Saved.")
    here = reverse("shop-answers", args=[case.number])
    return redirect(f"{here}?page={place}" if place else here)


def _form(request: HttpRequest, case: Case, round: Round, place: str, document: dict[str, Any],
          faults: tuple[Fault, ...] = (), status: int = 200, **more: Any) -> HttpResponse:
    parts = shown(parts_for(place), document, faults)
    return render(request, "reports/shop/answers.html", {
        "case": case, "round": round, "place": PLACES.get(place), "parts": parts, "faults": faults,
        "elsewhere": elsewhere(faults, parts), "places": PLACES.values(), "photos": round.photos.order_by("id"), **more,
    }, status=status)


@at_the_counter
@require_POST
def photo_add(request: HttpRequest, number: str) -> HttpResponse:
    """Add photos to the open round."""
    case = services.case_for(number=number, shop=request.shop)
    newest, files = case.current_round, request.FILES.getlist("photo")
    try:
        if not files:
            raise Refused("There is no photo in it.", "Pick one or several, then send.")
        if of_another_round(request.POST.get("round"), newest):
            raise photo_of_another_round()
        _take_in(request, newest, files)
    except Refused as refused:
        return _form(request, case, newest, "", newest.document, refused=refused, status=CONFLICT)
    messages.success(request, "The photo is here and will be shown in a minute." if len(files) == 1 else
                     f"{len(files)} photos are here and will be shown in a minute.")
    return redirect(f"{reverse('shop-answers', args=[case.number])}#photos")


def _take_in(request: HttpRequest, round: Round, files: list[Any]) -> None:
    """Take in every photo that may be one; raise what is said of the last that is none, and how many are here."""
    last, here = None, 0
    for upload in files:
        try:
            add_photo(round=round, place=request.POST.get("place", ""), upload=upload,
                      caption=request.POST.get("caption", ""), who=request.who)
            here += 1
        except Refused as refused:
            last = refused
    if last is not None:
        raise Refused(last.problem, f"{last.mend} {here} of {len(files)} photos are here." if here else last.mend)


@at_the_counter
@require_POST
def next_round(request: HttpRequest, number: str) -> HttpResponse:
    """Say what was done after the letter, and open the next round for what was measured then."""
    case = services.case_for(number=number, shop=request.shop)
    try:
        opened = services.open_next_round(case=case, who=request.who)
        services.save_changes(round=opened, words=request.POST.get("changes", "").strip() or None,
                              done=request.POST.get("done") or None, who=request.who)
    except Refused as refused:
        messages.error(request, f"{refused.problem} {refused.mend}")
        return redirect("shop-case", case.number)
    return redirect("shop-answers", case.number)
