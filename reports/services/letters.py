"""A letter's words: versions that are only added to, and one approval that freezes them."""
from __future__ import annotations

import hashlib
import json
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import override

from intake.errors import Refused
from intake.events import WORKER, record_event
from intake.models import Round
from intake.services import mark_advised, take_back_advice
from intake.states import ENDED, hold
from reports.models import Delivery, Draft, Letter, LetterVersion
from reports.pdf import report_pdf

LONGEST_LETTER = 40_000
RELOAD = "Reload the page to see how it stands now."


def text_of(*, letter: Letter, version: int | None = None) -> str:
    """Return the words of ``version``, by default the newest."""
    return letter.versions.get(number=version or letter.version).text


def fresh_draft(*, letter: Letter) -> Draft | None:
    """Return the newest draft made from the round's answers as they are now, or None while there is none yet."""
    return Draft.objects.filter(round_id=letter.round_id, revision=F("round__revision")).order_by("-pk").first()


def is_stale(*, letter: Letter) -> bool:
    """Say whether the answers have changed since the draft that the words rest on."""
    return not _with_fresh_draft(letter).exists()


def draft_on_offer(*, letter: Letter) -> Draft | None:
    """Return the draft that a tuner's own decision has led to while the letter's words rest on an earlier one."""
    newest = fresh_draft(letter=letter)
    if newest is None or letter.draft.revision != newest.revision or newest.making <= letter.draft.making:
        return None
    return newest


def _with_fresh_draft(letter: Letter) -> QuerySet[Letter]:
    # The join stays in a query of its own: an UPDATE through a join has all its conditions moved into a subquery, which
    # PostgreSQL does not look at again after it waited for another writer, and a doubled click would approve twice.
    fresh = Letter.objects.filter(draft__revision=F("round__revision"))
    return Letter.objects.filter(pk=letter.pk, pk__in=fresh)


def letter_head(round: Round, tuner: str = "") -> dict[str, Any]:
    """Return what stands at a letter's head."""
    case, today = round.case, timezone.localdate()
    return {"number": case.number, "round": round.number, "rider_name": case.rider_name, "title": case.title,
            "date": date_format(today, "DATE_FORMAT"), "tuner": tuner}


def content_hash(*, words: str, draft: Draft) -> str:
    """Return the SHA-256 over everything a letter says: its words and its draft's findings and figures, as stored."""
    content = {"words": words, "findings": draft.findings, "figures": draft.figures}
    return hashlib.sha256(json.dumps(content, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def place_draft(*, draft: Draft) -> Letter:
    """Give the round's letter the words of a new draft, unless a tuner has touched them or approved them.

    Touched words stay, and the letter is stale until the tuner chooses ``use_new_draft`` or ``keep_words``.
    """
    letter, made = Letter.objects.get_or_create(round=draft.round, defaults={"draft": draft})
    if made:
        LetterVersion.objects.create(letter=letter, number=1, text=draft.letter_text, author=WORKER)
    elif letter.draft_id < draft.pk and not letter.versions.exclude(author=WORKER).exists():
        _add_version(letter, letter.version, draft.letter_text, WORKER, draft)
    return letter


def _add_version(letter: Letter, based_on: int, text: str, author: str, draft: Draft | None = None) -> bool:
    """Add a version after ``based_on``; False where another came first or the letter is approved."""
    change = {"version": F("version") + 1} | ({"draft": draft} if draft else {})
    if not Letter.objects.filter(pk=letter.pk, version=based_on, approved_at__isnull=True).update(**change):
        return False
    LetterVersion.objects.create(letter=letter, number=based_on + 1, text=text, author=author)
    letter.refresh_from_db()
    return True


@transaction.atomic
def edit_letter(*, letter: Letter, based_on_version: int, text: str, user: AbstractBaseUser) -> Letter:
    """Add ``text`` as the next version.  Refused where somebody saved in between, or where the letter is approved."""
    text = text.replace("\r\n", "\n").replace("\x00", "").strip() + "\n"
    _check_words(text)
    letter.refresh_from_db()
    _check_open(letter)
    if letter.version == based_on_version and text_of(letter=letter) == text:
        return letter
    if not _add_version(letter, based_on_version, text, user.get_username()):
        _refuse_edit(letter, based_on_version)
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"Letter edited, version {letter.version}.")
    return letter


def _check_words(text: str) -> None:
    if not text.strip():
        raise Refused("The letter is empty.", "Write something, or take the words of an earlier version.")
    if len(text) > LONGEST_LETTER:
        raise Refused(f"The letter has {len(text):,} characters; {LONGEST_LETTER:,} is the most it can have.",
                      "Shorten it.")


def _check_open(letter: Letter) -> None:
    if letter.approved_at:
        raise Refused("The letter is approved, and an approved letter is not changed.",
                      "Withdraw the approval while nothing was sent, or open a next round and write a new letter.")
    _check_current(letter)


def _check_current(letter: Letter) -> None:
    if letter.round.case.state in ENDED:
        raise Refused(f"The case is {letter.round.case.get_state_display()}.", "Its letter can only be read.")
    if letter.round != letter.round.case.current_round:
        raise Refused("The case has a newer round than this letter's.", "Write the letter of the newest round.")


def _refuse_edit(letter: Letter, based_on: int) -> None:
    letter.refresh_from_db()
    _check_open(letter)
    newest = letter.versions.last()
    raise Refused(f"{newest.author} saved version {newest.number} while you were writing on version {based_on}.",
                  f"Nothing of yours is lost: compare your words with version {newest.number} and save again.")


@transaction.atomic
def use_new_draft(*, letter: Letter, user: AbstractBaseUser) -> Letter:
    """Take the words of the newest draft as the next version; the words so far stay among the versions."""
    draft = _draft_to_settle(letter)
    if letter.draft_id == draft.pk:
        return letter  # settled already, by a doubled click or another tuner; their words since then stay on top
    if not _add_version(letter, letter.version, draft.letter_text, user.get_username(), draft):
        raise Refused("The letter changed in the meantime.", RELOAD)
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"New draft's words taken, version {letter.version}.")
    return letter


@transaction.atomic
def keep_words(*, letter: Letter, user: AbstractBaseUser) -> Letter:
    """Keep the words as they are, on the newest draft's findings and figures."""
    draft = _draft_to_settle(letter)
    if letter.draft_id == draft.pk:
        return letter
    why = "on a new draft" if letter.draft.revision == draft.revision else "after the answers had changed"
    open_letter = Letter.objects.filter(pk=letter.pk, version=letter.version, approved_at__isnull=True)
    if not open_letter.update(draft=draft):
        raise Refused("The letter changed in the meantime.", RELOAD)
    letter.refresh_from_db()
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"Words of version {letter.version} kept {why}.")
    return letter


def _draft_to_settle(letter: Letter) -> Draft:
    letter.refresh_from_db()
    _check_open(letter)
    draft = fresh_draft(letter=letter)
    if draft is None:
        raise Refused("The changed answers have no draft yet.", "Wait until they are handed in and drafted.")
    return draft


def approve(*, letter: Letter, version: int, user: AbstractBaseUser) -> Letter:
    """Approve ``version``: it must be the newest and rest on the answers as they are.  Doubled clicks approve once."""
    letter.refresh_from_db()
    if letter.approved_at and letter.approved_version == version:
        return letter
    _check_open(letter)
    if letter.version != version:
        raise Refused(f"Version {letter.version} is newer than version {version}, which you were reading.",
                      "Read the newest version and approve that.")
    if is_stale(letter=letter):
        raise Refused("The answers have changed since this letter was drafted.",
                      "Take the new draft's words, or keep yours after reading the new findings; then approve.")
    if draft_on_offer(letter=letter):
        raise Refused("Numbers or a cause of a tuner's own are not in these words yet.",
                      "Take the changed sentences, or keep your words after reading them; then approve.")
    words = text_of(letter=letter)
    # Printed before the row is touched: a letter that cannot be printed must not be approved.
    pdf = print_letter(letter, words, user.get_full_name() or user.get_username())
    return _freeze(letter, user, pdf, content_hash(words=words, draft=letter.draft))


def print_letter(letter: Letter, words: str, tuner: str) -> bytes:
    """Return the letter as PDF, with its draft's findings and figures."""
    with override(letter.draft.language):
        return report_pdf(words, letter.draft.findings, letter.draft.figures, letter_head(letter.round, tuner))


@transaction.atomic
def _freeze(letter: Letter, user: AbstractBaseUser, pdf: bytes, digest: str) -> Letter:
    hold(letter.round.case)  # case before letter, as the worker does, or the two could wait for each other
    version, untouched = letter.version, _with_fresh_draft(letter).filter(
        version=letter.version, draft=letter.draft_id, approved_at__isnull=True)
    frozen = untouched.update(approved_at=timezone.now(), approved_by=user, approved_version=version,
                              content_hash=digest, pdf=pdf)
    letter.refresh_from_db()
    if not frozen:
        if letter.approved_version == version:
            return letter  # the other half of a doubled click
        raise Refused("The letter or the answers changed while you were approving.", RELOAD)
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"Letter approved, version {version}.", detail={"content": digest})
    mark_advised(case=letter.round.case, user=user)
    return letter


@transaction.atomic
def withdraw_approval(*, letter: Letter, user: AbstractBaseUser) -> Letter:
    """Take an approval back so that the letter can be edited.  Only while nothing was queued for sending."""
    hold(letter.round.case)
    _check_current(letter)
    # The update comes before the look, as it holds the row: a queueing that starts now waits, and is then refused.
    taken_back = Letter.objects.filter(pk=letter.pk, approved_at__isnull=False).update(
        approved_at=None, approved_by=None, approved_version=None, content_hash="", pdf=None)
    if not taken_back:
        raise Refused("The letter is not approved.", RELOAD)
    if Delivery.objects.filter(letter=letter).exists():
        raise Refused("The letter was already given to the mail.", "Open a next round and write a new letter there.")
    letter.refresh_from_db()
    take_back_advice(case=letter.round.case, user=user)
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"Approval of version {letter.version} taken back.")
    return letter
