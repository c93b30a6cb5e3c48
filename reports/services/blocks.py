"""What a tuner presses in a letter's blocks: the new number in, the old one kept, the new words taken, own words in."""
from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from intake.errors import Refused
from reports import letter_words as words
from reports.models import Letter, OwnWords
from reports.own_words import filled
from reports.services.letters import check_stop, letter_head
from reports.services.versions import RELOAD, blocks_of, check_open, save_blocks

Blocks = list[dict[str, Any]]
LONGEST_REASON = 500


@transaction.atomic
def take_number(*, letter: Letter, based_on_version: int, block: str, place: int, user: AbstractBaseUser) -> Letter:
    """Put the findings' number into the tuner's sentence, where the old one stood.

    ``place`` counts the block's numbers.  Refused where the letter moved on, or the findings say no such number now.
    """
    def change(held: dict[str, Any]) -> dict[str, Any]:
        if not _stale(held, place)["now"]:
            raise Refused("The findings do not say this number any more.", "Take it out, or say why it stays.")
        return words.with_new_number(held, place)

    return _changed(letter, based_on_version, block, change, user, "New number taken")


@transaction.atomic
def take_all_numbers(*, letter: Letter, based_on_version: int, user: AbstractBaseUser) -> Letter:
    """Put every number that the findings say otherwise into its sentence.  Refused where there is none."""
    blocks = _held(letter, based_on_version)
    taken = 0
    for at, block in enumerate(blocks):
        for place, number in enumerate(block["numbers"]):
            if words.is_stale(number) and number["now"]:
                blocks[at], taken = words.with_new_number(blocks[at], place), taken + 1
    if not taken:
        raise Refused("No number is out of date.", RELOAD)
    return save_blocks(letter=letter, based_on_version=based_on_version, blocks=blocks, user=user,
                       what=f"{taken} new numbers taken")


@transaction.atomic
def keep_number(*, letter: Letter, based_on_version: int, block: str, place: int, because: str,
                user: AbstractBaseUser) -> Letter:
    """Keep a number that the findings say otherwise, for a reason that stays on file."""
    because = " ".join(because.replace("\x00", "").split())
    if not because:
        raise Refused("Keeping this number needs a reason.", "Say in a few words why it stays.")
    if len(because) > LONGEST_REASON:
        raise Refused(f"The reason has {len(because):,} characters; {LONGEST_REASON} is the most.", "Shorten it.")

    def change(held: dict[str, Any]) -> dict[str, Any]:
        _stale(held, place)
        return words.with_kept_number(held, place, because, user.get_username())

    return _changed(letter, based_on_version, block, change, user, "Number kept")


@transaction.atomic
def settle_block(*, letter: Letter, based_on_version: int, block: str, take: bool, user: AbstractBaseUser) -> Letter:
    """Take the engine's new words for a block, or leave the tuner's as they are; for all such blocks where it is blank.

    Refused where the letter moved on, or where there is nothing to choose.
    """
    held = _held(letter, based_on_version)
    open_ = [name for name in words.unsettled(held) if block in ("", name)]
    if not open_:
        raise Refused("There are no new words to choose from.", RELOAD)
    blocks = [words.settled(one, take=take) if one["name"] in open_ else one for one in held]
    where = words.TITLES.get(block, block) if block else "all that changed"
    return save_blocks(letter=letter, based_on_version=based_on_version, blocks=blocks, user=user,
                       what=f"{'New words taken' if take else 'Own words left'} in '{where}'")


@transaction.atomic
def insert_own_words(*, letter: Letter, based_on_version: int, block: str, own: OwnWords,
                     user: AbstractBaseUser) -> Letter:
    """Put a tuner's own words at the end of a block, their slots filled from the letter's findings.

    Refused where a slot has no value here, and where a letter that says "do not ride" would get advice by it.
    """
    text, numbers = filled(own.text, letter.draft.findings, letter_head(letter.round), letter.draft.language)

    def change(held: dict[str, Any]) -> dict[str, Any]:
        before = f"{held['text']}\n\n" if held["text"] else ""
        more = [{**number, "start": number["start"] + len(before)} for number in numbers]
        made = {**held, "text": before + text, "numbers": [*held["numbers"], *more]}
        check_stop(blocks=[made], findings=letter.draft.findings)
        return made

    return _changed(letter, based_on_version, block, change, user, f"Own words '{own.name}' put in")


def _stale(block: dict[str, Any], place: int) -> dict[str, Any]:
    number: dict[str, Any] = block["numbers"][place] if 0 <= place < len(block["numbers"]) else {}
    if not words.is_stale(number):
        raise Refused("This number is not out of date.", RELOAD)
    return number


def _held(letter: Letter, based_on: int) -> Blocks:
    letter.refresh_from_db()
    check_open(letter)
    if letter.version != based_on:
        raise Refused(f"The letter has a newer version than {based_on}, which you were reading.", RELOAD)
    return blocks_of(letter=letter)


def _changed(letter: Letter, based_on: int, name: str, change: Callable[[dict[str, Any]], dict[str, Any]],
             user: AbstractBaseUser, what: str) -> Letter:
    held = _held(letter, based_on)
    if name not in {block["name"] for block in held}:
        raise Refused("The letter has no such block any more.", RELOAD)
    blocks = [change(block) if block["name"] == name else block for block in held]
    return save_blocks(letter=letter, based_on_version=based_on, blocks=blocks, user=user,
                       what=f"{what} in '{words.TITLES.get(name, name)}'")
