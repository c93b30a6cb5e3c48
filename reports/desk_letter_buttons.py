"""The letter's buttons on the case page: settling, approving, sending, taking back, replacing."""
from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from intake.models import Case, Round
from reports import services as letters
from reports.desk_letter import letter_of
from reports.desk_views import on_case_page
from reports.desk_writing import version_number
from reports.models import Delivery


@on_case_page
def letter_approve(request: HttpRequest, case: Case, round: Round) -> str:
    """Approve the version that the page showed."""
    version = version_number(request.POST.get("version"))
    letter = letters.approve(letter=letter_of(round), version=version, user=request.user,
                             words_read=bool(request.POST.get("read")))
    return f"Version {letter.approved_version} is approved. It can go out now."


@on_case_page
def letter_unapprove(request: HttpRequest, case: Case, round: Round) -> str:
    """Take an approval back while nothing has been sent."""
    letters.withdraw_approval(letter=letter_of(round), user=request.user)
    return "The approval is taken back; the letter can be edited."


@on_case_page
def letter_send(request: HttpRequest, case: Case, round: Round) -> str:
    """Send the approved letter to one address; the same address twice sends once."""
    delivery = letters.queue_delivery(letter=letter_of(round), to=request.POST.get("to", ""), user=request.user,
                                      wait=letters.UNDO)
    if delivery.state != Delivery.State.QUEUED or not delivery.not_before:
        return f"The letter to {delivery.to} is {delivery.get_state_display()}."
    return f"The letter to {delivery.to} leaves in a minute. Until then it can be taken back."


@on_case_page
def letter_replace(request: HttpRequest, case: Case, round: Round) -> str:
    """Start a letter that replaces the one that has left."""
    new = letters.replace_letter(letter=letter_of(round), user=request.user)
    return f"A new letter is begun with the words of the one sent; it says which it replaces. Version {new.version}."


@on_case_page
def take_number(request: HttpRequest, case: Case, round: Round) -> str:
    """Put the new number into the tuner's sentence."""
    letter = letters.take_number(letter=letter_of(round), **_number_named(request), user=request.user)
    return f"The new number is in, version {letter.version}."


@on_case_page
def take_all_numbers(request: HttpRequest, case: Case, round: Round) -> str:
    """Put all new numbers into their sentences."""
    version = version_number(request.POST.get("version"))
    letter = letters.take_all_numbers(letter=letter_of(round), based_on_version=version, user=request.user)
    return f"The new numbers are in, version {letter.version}."


@on_case_page
def keep_number(request: HttpRequest, case: Case, round: Round) -> str:
    """Keep a number, for a reason."""
    letter = letters.keep_number(letter=letter_of(round), **_number_named(request), user=request.user,
                                 because=request.POST.get("because", ""))
    return f"The number stays, with your reason, version {letter.version}."


def _number_named(request: HttpRequest) -> dict[str, Any]:
    return {"based_on_version": version_number(request.POST.get("version")), "block": request.POST.get("block", ""),
            "place": version_number(request.POST.get("place"))}


@on_case_page
def letter_settle(request: HttpRequest, case: Case, round: Round) -> str:
    """Take the new words of a block, or of all, or leave the tuner's."""
    take = request.POST.get("take") == "new"
    letter = letters.settle_block(
        letter=letter_of(round), based_on_version=version_number(request.POST.get("version")), take=take,
        block=request.POST.get("block", ""), user=request.user)
    return f"{'The new words are in' if take else 'Your words stay'}, version {letter.version}."


@on_case_page
def delivery_back(request: HttpRequest, case: Case, round: Round, delivery: int) -> str:
    """Take a letter back before it leaves."""
    row = letters.take_back_delivery(delivery=_delivery(round, delivery), user=request.user)
    return f"The letter to {row.to} does not leave."


@on_case_page
def delivery_now(request: HttpRequest, case: Case, round: Round, delivery: int) -> str:
    """Let a queued letter leave at once."""
    row = letters.send_now(delivery=_delivery(round, delivery), user=request.user)
    return f"The letter to {row.to} leaves now."


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
