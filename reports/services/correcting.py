"""A letter that has left is never changed: a new one says that it replaces it."""
from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import override

from intake.errors import Refused
from intake.events import record_event
from intake.states import hold
from reports import letter_words as words
from reports.models import Delivery, Letter, LetterVersion
from reports.services.versions import RELOAD, blocks_of, check_current
from reports.tongue import tell

STILL_HERE = (Delivery.State.QUEUED, Delivery.State.TAKEN_BACK)
"""Of a letter on its way: nothing has left."""


@transaction.atomic
def replace_letter(*, letter: Letter, user: AbstractBaseUser) -> Letter:
    """Start a letter that replaces one that has left, with its words to begin from and a line that says so.

    A doubled click starts one.  Refused where the letter has not left: then its approval is taken back instead.
    """
    hold(letter.round.case)
    letter.refresh_from_db()
    check_current(letter)
    standing = Letter.objects.filter(replaces=letter).first()
    if standing:
        return standing
    if not letter.approved_at:
        raise Refused("This letter is not approved, and can be edited as it is.", RELOAD)
    if not Delivery.objects.filter(letter=letter).exclude(state__in=STILL_HERE).exists():
        raise Refused("This letter has not left yet.", "Take it back, then its approval, and edit it.")
    new = Letter.objects.create(round=letter.round, draft=letter.draft, replaces=letter)
    blocks = with_replaced_line(blocks_of(letter=letter, version=letter.approved_version), letter)
    LetterVersion.objects.create(letter=new, number=1, text=words.text_of_blocks(blocks), author=user.get_username(),
                                 blocks=blocks if len(blocks) > 1 else [])
    record_event(case=letter.round.case, who=user.get_username(), user=user,
                 what="A letter that replaces the one sent was begun.", detail={"round": letter.round.number})
    return new


def replaced_line(letter: Letter, language: str) -> str:
    """Return the line that says which letter is replaced, in a language."""
    with override(language):
        return tell("This letter replaces our letter of {date}. Please follow this one only.",
                    date=date_format(letter.approved_at, "DATE_FORMAT"))


def with_replaced_line(blocks: list[dict[str, Any]], letter: Letter) -> list[dict[str, Any]]:
    """Return the blocks with that line after the greeting, in place of one that is there already."""
    line, english = replaced_line(letter, letter.draft.language), replaced_line(letter, "en")
    if blocks[0]["name"] == words.WHOLE:
        return [words.edited(blocks[0], f"{line}\n\n{blocks[0]['text']}")]
    rest = [block for block in blocks if block["name"] != "replaces"]
    after = 1 if rest[0]["name"] == "greeting" else 0
    row = {"name": "replaces", "text": line, "numbers": [], "english": "" if letter.draft.language == "en" else english}
    return [*rest[:after], *words.first_blocks([row]), *rest[after:]]
