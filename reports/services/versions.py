"""A letter's versions: written by the worker, edited by tuners, renewed on new findings; rows are only added."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F, QuerySet

from intake.errors import Refused
from intake.events import WORKER, record_event
from intake.states import ENDED
from reports import letter_words as words
from reports.bound import PRIVATE
from reports.models import Draft, Letter, LetterVersion
from reports.own_words import slot_numbers

LONGEST_LETTER = 40_000
TRIES = 3
"""So often a draft is placed where a tuner saves at the same moment."""
RELOAD = "Reload the page to see how it stands now."


def text_of(*, letter: Letter, version: int | None = None) -> str:
    """Return the words of ``version``, by default the newest."""
    return letter.versions.get(number=version or letter.version).text


def fresh_draft(*, letter: Letter) -> Draft | None:
    """Return the newest draft made from the round's answers as they are now, or None while there is none yet."""
    return Draft.objects.filter(round_id=letter.round_id, revision=F("round__revision")).order_by("-pk").first()


def is_stale(*, letter: Letter) -> bool:
    """Say whether the answers have changed since the draft that the words rest on."""
    return not with_fresh_draft(letter).exists()


def with_fresh_draft(letter: Letter) -> QuerySet[Letter]:
    """Return the letter as a query that is empty once the answers have moved on from its draft."""
    # The join stays in a query of its own: an UPDATE through a join has all its conditions moved into a subquery, which
    # PostgreSQL does not look at again after it waited for another writer, and a doubled click would approve twice.
    fresh = Letter.objects.filter(draft__revision=F("round__revision"))
    return Letter.objects.filter(pk=letter.pk, pk__in=fresh)


def place_draft(*, draft: Draft) -> Letter:
    """Give the round's letter the words of a new draft: every block that no tuner has touched, nothing once approved.

    Touched words stay, with a mark on each number that the new findings say otherwise.  Where the letter's blocks are
    not known it is stale until the tuner chooses ``use_new_draft`` or ``keep_words``.
    """
    letter, made = Letter.objects.get_or_create(round=draft.round, replaces=None, defaults={"draft": draft})
    letter = letter if made else Letter.objects.filter(round=draft.round).select_related("draft")[0]
    if made:
        LetterVersion.objects.create(letter=letter, number=1, text=draft.letter_text, author=WORKER,
                                     blocks=words.first_blocks(draft.blocks) if draft.blocks else [])
    elif letter.draft_id < draft.pk:
        for _ in range(TRIES):
            if _renewed(letter, draft):
                break
            letter.refresh_from_db()
    return letter


def _renewed(letter: Letter, draft: Draft) -> bool:
    """Write the letter on a new draft; False where a tuner saved at this moment."""
    if not letter.versions.exclude(author=WORKER).exists():
        return _add_version(letter, letter.version, _drafted(draft), WORKER, draft) or bool(letter.approved_at)
    held = letter.versions.get(number=letter.version).blocks
    if not held or not draft.blocks or letter.approved_at:
        return True  # whose words they are is not known block by block: the tuner chooses for the whole letter
    blocks = on_new_findings(held, draft)
    if not _add_version(letter, letter.version, blocks, WORKER, draft):
        return False
    left = len(words.stale_numbers(blocks)), len(words.unsettled(blocks))
    record_event(case=letter.round.case, who=WORKER, what=f"Letter renewed on new findings, version {letter.version}.",
                 detail={"numbers out of date": left[0], "blocks to settle": left[1]})
    return True


def on_new_findings(held: list[dict[str, Any]], draft: Draft) -> list[dict[str, Any]]:
    """Return a letter's blocks on another draft: new where nobody touched them, marked where somebody did."""
    return words.merged(held, words.first_blocks(draft.blocks), slot_numbers(draft.findings, draft.language))


def _drafted(draft: Draft) -> list[dict[str, Any]]:
    return words.first_blocks(draft.blocks, draft.letter_text, draft.english_text)


def blocks_of(*, letter: Letter, version: int | None = None) -> list[dict[str, Any]]:
    """Return the blocks of ``version``, by default the newest; one block where its parts are not known."""
    row = letter.versions.get(number=version or letter.version)
    return row.blocks or [
        {**words.first_blocks([], letter.draft.letter_text, letter.draft.english_text)[0],
         "text": row.text.strip("\n")}]


def _add_version(letter: Letter, based_on: int, blocks: list[dict[str, Any]], author: str,
                 draft: Draft | None = None) -> bool:
    """Add a version after ``based_on``; False where another came first or the letter is approved."""
    change = {"version": F("version") + 1} | ({"draft": draft} if draft else {})
    if not Letter.objects.filter(pk=letter.pk, version=based_on, approved_at__isnull=True).update(**change):
        return False
    whole = len(blocks) == 1 and blocks[0]["name"] == words.WHOLE
    LetterVersion.objects.create(letter=letter, number=based_on + 1, text=words.text_of_blocks(blocks), author=author,
                                 blocks=[] if whole else blocks)
    letter.refresh_from_db()
    return True


@transaction.atomic
def edit_letter(*, letter: Letter, based_on_version: int, text: str, user: AbstractBaseUser) -> Letter:
    """Add ``text`` as the next version.  Refused where somebody saved in between, or where the letter is approved."""
    text = _tidy(text)
    _check_words(text)
    letter.refresh_from_db()
    check_open(letter)
    if letter.version == based_on_version and text_of(letter=letter) == text:
        return letter
    number = min(based_on_version, letter.version)
    return save_blocks(letter=letter, based_on_version=based_on_version, user=user,
                       blocks=words.aligned(text, blocks_of(letter=letter, version=number)))


@transaction.atomic
def edit_blocks(*, letter: Letter, based_on_version: int, texts: Mapping[str, str], user: AbstractBaseUser,
                english: Mapping[str, str] | None = None) -> Letter:
    """Add a version with other words in some blocks: ``texts`` by the block's name, ``english`` beside them.

    Refused as ``edit_letter``.
    """
    letter.refresh_from_db()
    check_open(letter)
    if letter.version != based_on_version:
        _refuse_edit(letter, based_on_version)
    held = blocks_of(letter=letter)
    blocks = typed_blocks(held, texts, english or {})
    if blocks == held:
        return letter
    return save_blocks(letter=letter, based_on_version=based_on_version, blocks=blocks, user=user)


def typed_blocks(held: list[dict[str, Any]], texts: Mapping[str, str], english: Mapping[str, str],
                 ) -> list[dict[str, Any]]:
    """Return the blocks as somebody typed them."""
    return [words.edited(block, _tidy(texts.get(block["name"], block["text"])).strip("\n"),
                         _tidy(english.get(block["name"], block["english"])).strip("\n")) for block in held]


def _tidy(text: str) -> str:
    return PRIVATE.sub("", text.replace("\r\n", "\n").replace("\x00", "")).strip() + "\n"


def save_blocks(*, letter: Letter, based_on_version: int, blocks: list[dict[str, Any]], user: AbstractBaseUser,
                what: str = "Letter edited") -> Letter:
    """Add the blocks as the next version.  Refused where somebody saved in between, or where it is approved."""
    _check_words(words.text_of_blocks(blocks))
    check_open(letter)
    if not _add_version(letter, based_on_version, blocks, user.get_username()):
        _refuse_edit(letter, based_on_version)
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"{what}, version {letter.version}.")
    return letter


def _check_words(text: str) -> None:
    if not text.strip():
        raise Refused("The letter is empty.", "Write something, or take the words of an earlier version.")
    if len(text) > LONGEST_LETTER:
        raise Refused(f"The letter has {len(text):,} characters; {LONGEST_LETTER:,} is the most it can have.",
                      "Shorten it.")


def check_open(letter: Letter) -> None:
    """Refuse a letter that is approved, or whose case or round is over."""
    if letter.approved_at:
        raise Refused("The letter is approved, and an approved letter is not changed.",
                      "Withdraw the approval while nothing was sent, or open a next round and write a new letter.")
    check_current(letter)


def check_current(letter: Letter) -> None:
    """Refuse a letter whose case has ended, or has a newer round."""
    if letter.round.case.state in ENDED:
        raise Refused(f"The case is {letter.round.case.get_state_display()}.", "Its letter can only be read.")
    if letter.round != letter.round.case.current_round:
        raise Refused("The case has a newer round than this letter's.", "Write the letter of the newest round.")


def _refuse_edit(letter: Letter, based_on: int) -> None:
    letter.refresh_from_db()
    check_open(letter)
    newest = letter.versions.last()
    raise Refused(f"{newest.author} saved version {newest.number} while you were writing on version {based_on}.",
                  f"Nothing of yours is lost: compare your words with version {newest.number} and save again.")


@transaction.atomic
def use_new_draft(*, letter: Letter, user: AbstractBaseUser) -> Letter:
    """Take the words of the newest draft as the next version; the words so far stay among the versions."""
    draft = _draft_to_settle(letter)
    if letter.draft_id == draft.pk:
        return letter  # settled already, by a doubled click or another tuner; their words since then stay on top
    if not _add_version(letter, letter.version, _drafted(draft), user.get_username(), draft):
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
    if not _kept(letter, draft, user):
        raise Refused("The letter changed in the meantime.", RELOAD)
    letter.refresh_from_db()
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what=f"Words of version {letter.version} kept {why}.")
    return letter


def _kept(letter: Letter, draft: Draft, user: AbstractBaseUser) -> bool:
    held = letter.versions.get(number=letter.version).blocks
    if held and draft.blocks:
        return _add_version(letter, letter.version, on_new_findings(held, draft), user.get_username(), draft)
    open_letter = Letter.objects.filter(pk=letter.pk, version=letter.version, approved_at__isnull=True)
    return bool(open_letter.update(draft=draft))


def _draft_to_settle(letter: Letter) -> Draft:
    letter.refresh_from_db()
    check_open(letter)
    draft = fresh_draft(letter=letter)
    if draft is None:
        raise Refused("The changed answers have no draft yet.", "Wait until they are handed in and drafted.")
    return draft
