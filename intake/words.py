"""What the catalogue and the engine say, in the reader's language."""
from __future__ import annotations

from django.utils.translation import gettext

from analysis.say import Phrase


def translated(words: str) -> str:
    """Return words of the catalogue or the engine in the reader's language.

    A phrase is looked up by its template, and its slots are translated before they are filled in.
    """
    if not words:
        return ""
    if not isinstance(words, Phrase):
        return gettext(words)
    return gettext(words.template).format(**{name: translated(slot) for name, slot in words.slots.items()})
