"""What the catalogue and the engine say, in the reader's language."""
from __future__ import annotations

import re

from django.utils.translation import get_language, gettext

from analysis.say import Phrase
from analysis.unit_names import WANTED

DECIMAL_COMMA = ("de", "es")

_SYMBOLS = "|".join(re.escape(symbol) for wanted in WANTED.values() for symbol in (wanted.symbol, *wanted.others))
_AMOUNT = re.compile(rf"[-−]?\d+\.\d+ ?(?:{_SYMBOLS})")


def has_decimal_comma() -> bool:
    """Tell whether numbers are written with a decimal comma in the language at hand."""
    return (get_language() or "en")[:2] in DECIMAL_COMMA


def digits(text: str) -> str:
    """Return a number as text with the language's decimal mark."""
    return re.sub(r"(?<=\d)\.(?=\d)", ",", text) if has_decimal_comma() else text


def looked_up(text: str) -> str:
    """Return a text of the engine that has no template in the reader's language: words by the list, numbers by mark."""
    is_number = _AMOUNT.fullmatch(text) or not re.search(r"[A-Za-z]{2}", text)
    return digits(text) if is_number else gettext(text)


def translated(words: str) -> str:
    """Return words of the catalogue or the engine in the reader's language.

    A phrase is looked up by its template, and its slots are translated before they are filled in.
    """
    if not words:
        return ""
    if not isinstance(words, Phrase):
        return looked_up(words)
    return gettext(words.template).format(**{name: translated(slot) for name, slot in words.slots.items()})
