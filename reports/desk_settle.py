"""What a tuner has to settle in a letter before it can be approved, ready to be shown beside it."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from reports import letter_words as words
from reports.desk_differences import differences
from reports.models import Delivery, Letter
from reports.services import blocks_of

AROUND = 60
"""So many signs of the sentence stand on either side of a number that went out of date."""


def settle_context(letter: Letter) -> dict[str, Any]:
    """Return numbers out of date, words to choose, numbers kept, and whether the letter has left."""
    blocks = blocks_of(letter=letter)
    given = [one for one in letter.deliveries.all() if one.state != Delivery.State.TAKEN_BACK]
    return {
        "stale_numbers": [_in_its_sentence(block, place) for block in blocks for place in range(len(block["numbers"]))
                          if words.is_stale(block["numbers"][place])],
        "kept_numbers": [number | {"title": _title(block)} for block in blocks for number in block["numbers"]
                         if "kept" in number],
        "new_words": [{"name": block["name"], "title": _title(block),
                       "lines": differences(block["text"], block["fresh"]["text"])}
                      for block in blocks if "fresh" in block],
        "words_differ": [_title(block) for block in blocks if words.words_differ(block)],
        "given_to_mail": bool(given),
        "can_replace": any(one.state != Delivery.State.QUEUED for one in given) and bool(letter.approved_at),
        "earlier_letters": earlier(letter),
    }


def _title(block: Mapping[str, Any]) -> str:
    return words.TITLES.get(block["name"], block["name"])


def _in_its_sentence(block: Mapping[str, Any], place: int) -> dict[str, Any]:
    number, text = block["numbers"][place], block["text"]
    start, end = number["start"], number["start"] + len(number["shown"])
    before, after = text[:start].rpartition("\n")[2], text[end:].partition("\n")[0]
    return number | {
        "block": block["name"], "place": str(place), "title": _title(block),
        "before": f"… {before[-AROUND:]}" if len(before) > AROUND else before,
        "after": f"{after[:AROUND]} …" if len(after) > AROUND else after}


def earlier(letter: Letter) -> list[Letter]:
    """Return the letters that this one replaces, newest first."""
    found = []
    while letter.replaces is not None:
        letter = letter.replaces
        found.append(letter)
    return found
