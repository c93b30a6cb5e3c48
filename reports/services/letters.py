"""One approval that freezes a letter's words, and what has to be settled before."""
from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import override

from intake.danger_words import spoken_of
from intake.errors import Refused
from intake.events import record_event
from intake.models import Round
from intake.services import mark_advised, take_back_advice
from intake.states import hold
from reports import letter_words as words
from reports.models import Delivery, Draft, Letter
from reports.own_hand import hand_of
from reports.pdf import report_pdf
from reports.services.correcting import replaced_line
from reports.services.hooks import LETTER_APPROVED, tell_hooks
from reports.services.versions import (
    RELOAD,
    blocks_of,
    check_current,
    check_open,
    fresh_draft,
    is_stale,
    text_of,
    with_fresh_draft,
)
from reports.stop_rule import advice_beside_stop, is_stop, takes_stop_out


def draft_on_offer(*, letter: Letter) -> Draft | None:
    """Return the draft that a tuner's own decision has led to while the letter's words rest on an earlier one."""
    newest = fresh_draft(letter=letter)
    if newest is None or letter.draft.revision != newest.revision or newest.making <= letter.draft.making:
        return None
    return newest


def letter_head(round: Round, tuner: str = "") -> dict[str, Any]:
    """Return what stands at a letter's head."""
    case, today = round.case, timezone.localdate()
    return {"number": case.number, "round": round.number, "rider_name": case.rider_name, "title": case.title,
            "date": date_format(today, "DATE_FORMAT"), "tuner": tuner,
            "by_shop": case.shop_id is not None}


def content_hash(*, words: str, draft: Draft) -> str:
    """Return the SHA-256 over everything a letter says: its words and its draft's findings and figures, as stored."""
    content = {"words": words, "findings": draft.findings, "figures": draft.figures}
    return hashlib.sha256(json.dumps(content, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def approve(*, letter: Letter, version: int, user: AbstractBaseUser, words_read: bool = False) -> Letter:
    """Approve ``version``: it must be the newest and rest on the answers as they are.  Doubled clicks approve once.

    ``words_read``: the tuner has read what the rider's words say of a danger, and says that it does not stop the bike.
    """
    letter.refresh_from_db()
    if letter.approved_at and letter.approved_version == version:
        return letter
    check_open(letter)
    if letter.version != version:
        raise Refused(f"Version {letter.version} is newer than version {version}, which you were reading.",
                      "Read the newest version and approve that.")
    if is_stale(letter=letter):
        raise Refused("The answers have changed since this letter was drafted.",
                      "Take the new draft's words, or keep yours after reading the new findings; then approve.")
    if draft_on_offer(letter=letter):
        raise Refused("Numbers or a cause of a tuner's own are not in these words yet.",
                      "Take the changed sentences, or keep your words after reading them; then approve.")
    check_settled(letter=letter)
    dangers = _dangers_to_read(letter)
    if dangers and not words_read:
        raise Refused(f"The rider's words speak of: {dangers}.",
                      "Read them above. Ask the rider where they may be true; tick that you have read them where not.")
    text = text_of(letter=letter)
    if letter.replaces and replaced_line(letter.replaces, letter.draft.language) not in text:
        raise Refused("This letter replaces one that was sent, and does not say so.",
                      f"Put in: {replaced_line(letter.replaces, letter.draft.language)}")
    # Printed before the row is touched: a letter that cannot be printed must not be approved.
    pdf = print_letter(letter, text, user.get_full_name() or user.get_username())
    return _freeze(letter, user, pdf, content_hash(words=text, draft=letter.draft), dangers)


def _dangers_to_read(letter: Letter) -> str:
    """Return the dangers, by name, that only the rider's words tell of; blank where the letter stops the bike."""
    return "" if is_stop(letter.draft.findings) else ", ".join(one.name for one in spoken_of(letter.round))


def check_settled(*, letter: Letter) -> None:
    """Refuse a letter with a number that went out of date, with words not chosen yet, or with a stop beside advice."""
    blocks = blocks_of(letter=letter)
    if stale := words.stale_numbers(blocks):
        shown = ", ".join(f"{number['shown']} (now {number['now'] or 'not said any more'})" for *_, number in stale)
        raise Refused(f"The letter has numbers that are out of date: {shown}.",
                      "Take the new number into your sentence, or say why yours stays.")
    if open_ := words.unsettled(blocks):
        titles = ", ".join(words.TITLES.get(name, name) for name in open_)
        raise Refused(f"The findings changed under your words: {titles}.", "Keep your words, or take the new ones.")
    check_stop(blocks=blocks, findings=letter.draft.findings)


def check_stop(*, blocks: list[dict[str, Any]], findings: Mapping[str, Any]) -> None:
    """Refuse words by which "do not ride" and advice on settings would stand in one letter, or no word on riding."""
    if any(block["name"] == "riding" and not block["text"] for block in blocks):
        raise Refused("The letter does not say whether to ride.", "Put that line back: it comes first, always.")
    if takes_stop_out(blocks, findings):
        raise Refused("The findings say \"do not ride\", and the letter does not say so any more.",
                      "Put that line back: a sign that stops a bike is never outvoted.")
    if found := advice_beside_stop(blocks, findings):
        raise Refused(f"A letter that says \"do not ride\" holds no advice on settings, and this does: {found[:200]}",
                      "Take it out. It goes into the next letter, once the workshop has put the bike right.")


def print_letter(letter: Letter, text: str, tuner: str) -> bytes:
    """Return the letter as PDF, with its draft's findings and figures."""
    with override(letter.draft.language):
        return report_pdf(text, letter.draft.findings, letter.draft.figures, letter_head(letter.round, tuner))


@transaction.atomic
def _freeze(letter: Letter, user: AbstractBaseUser, pdf: bytes, digest: str, dangers: str) -> Letter:
    hold(letter.round.case)  # case before letter, as the worker does, or the two could wait for each other
    if hand_of(letter.round).making > letter.draft.making:
        raise Refused("A tuner's own numbers, cause or data sheet are not drafted yet.",
                      "Wait for their draft, read it and approve then.")
    version, untouched = letter.version, with_fresh_draft(letter).filter(
        version=letter.version, draft=letter.draft_id, approved_at__isnull=True)
    frozen = untouched.update(approved_at=timezone.now(), approved_by=user, approved_version=version,
                              content_hash=digest, pdf=pdf)
    letter.refresh_from_db()
    if not frozen:
        if letter.approved_version == version:
            return letter  # the other half of a doubled click
        raise Refused("The letter or the answers changed while you were approving.", RELOAD)
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"Letter approved, version {version}.",
                 detail={"content": digest} | ({"rider_speaks_of": dangers} if dangers else {}))
    mark_advised(case=letter.round.case, user=user)
    tell_hooks(case=letter.round.case, event=LETTER_APPROVED)
    return letter


@transaction.atomic
def withdraw_approval(*, letter: Letter, user: AbstractBaseUser) -> Letter:
    """Take an approval back so that the letter can be edited.  Only while nothing was queued for sending."""
    hold(letter.round.case)
    check_current(letter)
    # The update comes before the look, as it holds the row: a queueing that starts now waits, and is then refused.
    taken_back = Letter.objects.filter(pk=letter.pk, approved_at__isnull=False).update(
        approved_at=None, approved_by=None, approved_version=None, content_hash="", pdf=None)
    if not taken_back:
        raise Refused("The letter is not approved.", RELOAD)
    if Delivery.objects.filter(letter=letter).exclude(state=Delivery.State.TAKEN_BACK).exists():
        raise Refused("The letter was already given to the mail.", "Open a next round and write a new letter there.")
    letter.refresh_from_db()
    if letter.replaces_id is None:  # else the rider has been advised, if not well
        take_back_advice(case=letter.round.case, user=user)
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"Approval of version {letter.version} taken back.")
    return letter
