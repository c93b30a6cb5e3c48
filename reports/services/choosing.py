"""A tuner's own decisions: numbers for the letter and the sheet, and another leading cause.

Neither writes a letter: each is stored, and the worker drafts the round again from it by the one way there is.
"""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from analysis.causes import BY_NAME
from intake.errors import Refused
from intake.events import record_event
from intake.models import Round
from intake.states import ENDED, hold
from reports.models import Draft, Letter
from reports.objection_words import in_sentences
from reports.own_hand import engines_verdict, hand_of
from reports.services.drafting import draft_again
from reports.services.letters import fresh_draft
from reports.sheet_under import lay_under
from reports.tried import try_numbers
from reports.tuner_models import ChosenNumbers, Judgement

LONGEST_REASON = 2000
OTHER_CAUSE = "Another cause leads now."


def choose_numbers(*, round: Round, revision: int, chosen: Mapping[str, float], reason: str, user: AbstractBaseUser,
                   ) -> ChosenNumbers:
    """Store a tuner's numbers for the answers' ``revision`` and have letter and service sheet made again from them.

    Nothing chosen puts the engine's own numbers back.  The same numbers twice are stored once.  Refused where the
    answers have moved on, where the letter is approved, and where anything speaks against the numbers.
    """
    draft, looked_at = _open_draft(round, revision), hand_of(round).making
    against = try_numbers(lay_under(round).document, draft.findings, chosen)["objections"] if chosen else ()
    if against:
        raise Refused("These numbers cannot go into the letter.", " ".join(in_sentences(against)))
    with transaction.atomic():
        hold(round.case)
        _open_draft(round, revision)
        hand = hand_of(round)
        standing = hand.numbers
        if standing and standing.numbers == dict(chosen):
            return standing
        if hand.making != looked_at:
            raise Refused("Another decision on this case came in between.", "Look at its draft and decide then.")
        if not chosen and not (standing and standing.numbers):
            raise Refused("These are the numbers that the draft has already.", "Move a slider first.")
        row = ChosenNumbers.objects.create(round=round, revision=revision, numbers=dict(chosen), user=user,
                                           who=user.get_username(), reason=reason.strip()[:LONGEST_REASON])
        record_event(case=round.case, who=row.who, user=user, detail={"round": round.number, "numbers": row.numbers},
                     what="Own numbers put into the draft." if chosen else "The engine's numbers put back.")
        draft_again(round=round)
    return row


def judge(*, round: Round, revision: int, cause: str, reason: str, user: AbstractBaseUser) -> Judgement:
    """Store that a tuner holds another cause for the right one, and have the letter drafted again from it.

    The engine's odds at this time stay with it.  Refused without a reason, for a cause that this bike cannot have, and
    where a safety sign stops the bike: that comes before every cause.
    """
    reason, draft = reason.strip(), _open_draft(round, revision)
    _check_judgement(draft.findings, cause, reason)
    with transaction.atomic():
        hold(round.case)
        _open_draft(round, revision)
        standing = hand_of(round).judgement
        if standing and standing.cause == cause and standing.reason == reason:
            return standing
        _put_aside(round, user)
        engines_numbers_back(round=round, user=user, reason=OTHER_CAUSE)
        found = engines_verdict(draft.findings)
        row = Judgement.objects.create(
            round=round, revision=revision, cause=cause, reason=reason, user=user, who=user.get_username(),
            engine_version=draft.engine_version, odds={
                "kind": found["kind"], "cause": found["cause"],
                "causes": [[one["name"], one["probability"]] for one in draft.findings["causes"]]})
        record_event(case=round.case, who=row.who, user=user, what="Leading cause judged otherwise.",
                     detail={"round": round.number, "cause": cause, "reason": reason})
        draft_again(round=round)
    return row


def _check_judgement(findings: Mapping[str, Any], cause: str, reason: str) -> None:
    if findings.get("stop_riding"):
        raise Refused("A safety sign stops this bike, and that comes before every cause.",
                      "Let the workshop put it right first.")
    if cause not in {one["name"] for one in findings.get("causes") or ()}:
        raise Refused("This is no cause that this bike can have.", "Pick one from the list.")
    if not reason:
        raise Refused("A judgement needs its reason.", "Write in a sentence what makes you sure.")
    if len(reason) > LONGEST_REASON:
        raise Refused(f"The reason has {len(reason):,} characters; {LONGEST_REASON:,} is the most.", "Shorten it.")


def take_back_judgement(*, round: Round, user: AbstractBaseUser) -> None:
    """Let the engine's verdict lead again.  The judgement stays on file; nothing happens where none stands."""
    with transaction.atomic():
        hold(round.case)
        if hand_of(round).judgement is None:
            return
        _open_draft(round, round.revision)
        _put_aside(round, user)
        engines_numbers_back(round=round, user=user, reason=OTHER_CAUSE)
        record_event(case=round.case, who=user.get_username(), user=user, what="Own judgement taken back.",
                     detail={"round": round.number})
        draft_again(round=round)


def _put_aside(round: Round, user: AbstractBaseUser) -> None:
    Judgement.objects.filter(round=round, taken_back_at__isnull=True).update(
        taken_back_at=timezone.now(), taken_back_by=user.get_username())


def engines_numbers_back(*, round: Round, user: AbstractBaseUser, reason: str) -> None:
    """Put the engine's numbers back where what a tuner's own were held against is no more.

    Under another cause they would be a second change; on another data sheet nobody has looked what speaks against them.
    """
    standing = hand_of(round).numbers
    if standing and standing.numbers:
        ChosenNumbers.objects.create(round=round, revision=round.revision, numbers={}, user=user,
                                     who=user.get_username(), reason=reason)


def judged_title(judgement: Judgement) -> str:
    """Return a judgement's cause for people."""
    return BY_NAME[judgement.cause].title


def _open_draft(round: Round, revision: int) -> Draft:
    """Return the draft that a decision rests on, of a letter that can still be changed."""
    round.refresh_from_db()
    case = round.case
    if case.state in ENDED:
        raise Refused(f"The case is {case.get_state_display()}.", "It can only be read.")
    if round != case.current_round:
        raise Refused("The case has a newer round than this.", "Decide on the newest round.")
    letter = Letter.objects.filter(round=round).select_related("draft").first()
    draft = fresh_draft(letter=letter) if letter else None
    if revision != round.revision or round.handed_in_at is None or draft is None:
        raise Refused("The answers have changed since you looked, or are open again.",
                      "Wait for their draft, look at its numbers and decide then.")
    if letter and letter.approved_at:
        raise Refused("The letter is approved, and an approved letter is not changed.",
                      "Take the approval back while nothing was sent, or open a next round.")
    return draft
