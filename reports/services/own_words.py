"""A tuner's own words: kept under a name, changed, deleted."""
from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from intake.errors import Refused
from intake.paths import storable
from reports.models import OwnWords
from reports.own_words import SLOTS, unknown_slots

LONGEST_NAME, LONGEST_TEXT, MOST = 40, 4_000, 100


@transaction.atomic
def save_own_words(*, user: AbstractBaseUser, name: str, text: str, own: OwnWords | None = None) -> OwnWords:
    """Keep words under a name, in place of ``own`` where that is given.

    Raises ``Refused`` for a bad name or text, for a slot that no letter has, and for a name that is taken.
    """
    name, text = _checked_name(name), _checked_text(text)
    others = user.own_words.exclude(pk=own.pk) if own else user.own_words.all()
    if own is None:
        if others.count() >= MOST and not others.filter(name=name).exists():
            raise Refused(f"You have {MOST} of your own words already.", "Delete some that you do not use.")
        kept, made = OwnWords.objects.get_or_create(owner=user, name=name, defaults={"text": text})
        if made or kept.text == text:
            return kept
    if own is None or others.filter(name=name).exists():
        raise Refused(f"You have words called '{name}' already.", "Pick another name, or change those.")
    OwnWords.objects.filter(pk=own.pk).update(name=name, text=text)
    own.refresh_from_db()
    return own


def delete_own_words(*, own: OwnWords) -> None:
    """Delete words; letters that have them keep them."""
    OwnWords.objects.filter(pk=own.pk).delete()


def _checked_name(name: str) -> str:
    name = " ".join(storable(name).split())
    if not name or len(name) > LONGEST_NAME:
        raise Refused("The words have no name." if not name else f"The name has {len(name)} signs.",
                      f"Give them a name of 1 to {LONGEST_NAME} signs.")
    return name


def _checked_text(text: str) -> str:
    text = storable(text).replace("\r\n", "\n").strip()
    if not text or len(text) > LONGEST_TEXT:
        raise Refused("There are no words." if not text else f"The words have {len(text):,} signs.",
                      f"Write 1 to {LONGEST_TEXT:,} signs.")
    if unknown := unknown_slots(text):
        raise Refused(f"No letter can fill {{{unknown[0]}}}.", f"In braces go: {', '.join(SLOTS)}.")
    return text
