"""A letter's words block by block: what a tuner has touched, and what of it went out of date.

A block is a dict, as it is stored beside a version: ``name``; ``text`` as it stands; ``written``, the engine's own
words for it; ``numbers``, each with its ``path``, ``how``, ``shown`` and ``start`` in the text; ``english`` and
``english_written`` where the rider reads another language.  A number that the findings say otherwise by now has
``now`` ("" where they no longer say it), and ``kept`` once a tuner gave a reason to leave it.  ``fresh`` holds the
engine's new words for a block whose old ones a tuner had changed, until they settle which to use.
"""
from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from difflib import SequenceMatcher
from typing import Any

from reports.wording import joined

Block = dict[str, Any]
Number = dict[str, Any]
WHOLE = "letter"
"""Name of the one block of a letter whose parts are not known."""

TITLES = {
    "greeting": "Greeting", "replaces": "Which letter this replaces", "riding": "Whether to ride",
    "answer": "What it is, how sure", "rests on": "What it is built on", "why open": "Why it is open",
    "against": "What speaks against, and what we could not tell", "do": "The one thing to do", "cautions": "Take care",
    "steps": "In this order, this much", "see": "What you should see", "send back": "Send back",
    "otherwise": "If instead", "stop when": "Stop if", "undo": "How to undo it",
    "results mean": "What each result means", "which two": "Which two answers", "why": "Why not to ride",
    "do now": "What to do now", "later": "Left for later", "told us": "What the rider told us",
    "sheets": "Numbers from data sheets", "boundaries": "Boundaries", "ending": "Case, date, name", WHOLE: "Letter",
}
"""What the desk calls a block."""


def first_blocks(written: Sequence[Mapping[str, Any]], text: str = "", english: str = "") -> list[Block]:
    """Return a draft's blocks as those of a version that nobody has touched; one block where the draft has none."""
    rows = written or [{"name": WHOLE, "text": text.strip("\n"), "numbers": [], "english": english.strip("\n")}]
    return [{"name": row["name"], "text": row["text"], "written": row["text"],
             "numbers": [dict(number) for number in row["numbers"]], "english": row.get("english", ""),
             "english_written": row.get("english", "")} for row in rows]


def text_of_blocks(blocks: Iterable[Mapping[str, Any]]) -> str:
    """Return the letter that the blocks make."""
    return joined(block["text"] for block in blocks)


def is_touched(block: Mapping[str, Any]) -> bool:
    """Tell whether a tuner has changed the engine's words."""
    return bool(block["text"] != block["written"])


def words_differ(block: Mapping[str, Any]) -> bool:
    """Tell whether a block was edited and the English beside it was not."""
    return is_touched(block) and bool(block["english"]) and bool(block["english"] == block["english_written"])


def edited(block: Block, text: str, english: str | None = None) -> Block:
    """Return the block with other words; each number goes where its words went, or out with them."""
    return {**block, "text": text, "numbers": moved(block["numbers"], block["text"], text),
            "english": block["english"] if english is None else english}


def moved(numbers: Sequence[Number], before: str, after: str) -> list[Number]:
    """Return the numbers that still stand in ``after``, at their places there."""
    if before == after:
        return [dict(number) for number in numbers]
    runs = [(old, new, size) for old, new, size in _same(before, after) if size]
    taken: list[tuple[int, int]] = []
    found = []
    for number in numbers:
        start, size = number["start"], len(number["shown"])
        place = next((new + start - old for old, new, run in runs if old <= start and start + size <= old + run), None)
        place = _elsewhere(number["shown"], after, taken) if place is None else place
        if place is not None:
            taken.append((place, place + size))
            found.append({**number, "start": place, "shown": after[place:place + size]})
    return found


def _same(before: str, after: str) -> list[tuple[int, int, int]]:
    """Return the stretches that stayed, by signs: found word by word, so that no number is taken apart."""
    old, new = (re.findall(r"\s+|[^\s]+", text) for text in (before, after))
    runs = []
    for one in SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks():
        runs.append((len("".join(old[:one.a])), len("".join(new[:one.b])), len("".join(old[one.a:one.a + one.size]))))
    return runs


def _elsewhere(shown: str, text: str, taken: Sequence[tuple[int, int]]) -> int | None:
    """Return where the same number stands that no other one stands for: a sentence may have been moved."""
    pattern = re.escape(shown).replace("\u00a0", "[ \u00a0]")
    for match in re.finditer(rf"(?<![\d.,]){pattern}(?!\w|[.,]\d)", text):
        if not any(start < match.end() and match.start() < end for start, end in taken):
            return match.start()
    return None


def aligned(text: str, blocks: Sequence[Block]) -> list[Block]:
    """Return the blocks of a letter that was edited as one text: each line belongs where its neighbours belong."""
    lines = [(place, line) for place, block in enumerate(blocks) if block["text"]
             for line in [*block["text"].split("\n"), ""]]
    typed = text.strip("\n").split("\n")
    parts: dict[int, list[str]] = {}
    matcher = SequenceMatcher(None, [line for _, line in lines], [*typed, ""], autojunk=False)
    for tag, a, b, c, d in matcher.get_opcodes():
        for step in range(d - c):
            old = min(a + step, b - 1) if tag in ("equal", "replace") else a - 1
            owner = lines[max(0, min(old, len(lines) - 1))][0] if lines else 0
            parts.setdefault(owner, []).append([*typed, ""][c + step])
    return [edited(block, "\n".join(parts.get(place, [])).strip("\n")) for place, block in enumerate(blocks)]


# -- when the findings change ------------------------------------------------------------------------------------


def merged(old: Sequence[Block], new: Sequence[Block],
           more: Mapping[tuple[str, str], str] | None = None) -> list[Block]:
    """Return the letter on new findings.

    A block that nobody touched is the new one.  Touched words stay, and say which of their numbers the findings now say
    otherwise; ``more`` are numbers that no block of the new letter shows.
    """
    says = {(number["path"], number["how"]): number["shown"] for block in new for number in block["numbers"]}
    says = {**(more or {}), **says}
    touched = {block["name"]: block for block in old if is_touched(block) or "fresh" in block}
    new = _with_line(old, new)
    names = {block["name"] for block in new}
    result = [_renewed(touched[block["name"]], block, says) if block["name"] in touched else block for block in new]
    for place, block in enumerate(old):
        if block["name"] in touched and block["name"] not in names:
            before = {one["name"] for one in old[:place]}
            at = max((index + 1 for index, one in enumerate(result) if one["name"] in before), default=0)
            result.insert(at, _renewed(block, {"name": block["name"], "text": "", "numbers": [], "english": ""}, says))
    return result


def _with_line(old: Sequence[Block], new: Sequence[Block]) -> Sequence[Block]:
    """Return the new letter with the old one's line that it replaces another: that no finding changes."""
    line = [block for block in old if block["name"] == "replaces"]
    return [*new[:1], *line, *new[1:]] if line else new


def _renewed(old: Block, new: Mapping[str, Any], says: Mapping[tuple[str, str], str]) -> Block:
    numbers = [_held_against(number, says.get((number["path"], number["how"]), "")) for number in old["numbers"]]
    block = {**old, "numbers": numbers}
    left_out = not old["text"] and old["name"] != "riding"
    if not left_out and _apart_from_numbers(new["text"]) != _apart_from_numbers(old["written"]):
        block["fresh"] = {key: new[key] for key in ("text", "numbers", "english")}
        return block
    block.pop("fresh", None)
    english = new["english"] if old["english"] == old["english_written"] else old["english"]
    return block | {"written": new["text"], "english": english, "english_written": new["english"]}


def _apart_from_numbers(text: str) -> str:
    return re.sub(r"\d+(?:[.,]\d+)*", "#", text)


def _held_against(number: Number, now: str) -> Number:
    held = {key: number[key] for key in ("path", "how", "shown", "start")}
    if _alike(now, number["shown"]):
        return held
    kept = number.get("kept")
    return {**held, "now": now, **({"kept": kept} if kept and kept["now"] == now else {})}


def _alike(one: str, other: str) -> bool:
    return one.replace("\u00a0", " ") == other.replace("\u00a0", " ")


def is_stale(number: Mapping[str, Any]) -> bool:
    """Tell whether the findings say a number otherwise, and no tuner has given a reason to keep it."""
    return "now" in number and "kept" not in number


def stale_numbers(blocks: Iterable[Mapping[str, Any]]) -> list[tuple[str, int, Number]]:
    """Return every number that is out of date: its block's name, its place among the block's numbers, itself."""
    return [(block["name"], place, number) for block in blocks for place, number in enumerate(block["numbers"])
            if is_stale(number)]


def unsettled(blocks: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return the names of the blocks whose new engine's words a tuner has neither taken nor left."""
    return [block["name"] for block in blocks if "fresh" in block]


def with_new_number(block: Block, place: int) -> Block:
    """Return the block with the findings' number in the tuner's sentence, in place of the one that went out of date."""
    number = block["numbers"][place]
    start, grown = number["start"], len(number["now"]) - len(number["shown"])
    text = block["text"][:start] + number["now"] + block["text"][start + len(number["shown"]):]
    numbers = [{**one, "start": one["start"] + (grown if one["start"] > start else 0)} for one in block["numbers"]]
    numbers[place] = {"path": number["path"], "how": number["how"], "shown": number["now"], "start": start}
    return {**block, "text": text, "numbers": numbers}


def with_kept_number(block: Block, place: int, because: str, who: str) -> Block:
    """Return the block with a number kept for a reason, until the findings say yet another one."""
    numbers = list(block["numbers"])
    numbers[place] = {**numbers[place], "kept": {"because": because, "who": who, "now": numbers[place]["now"]}}
    return {**block, "numbers": numbers}


def settled(block: Block, *, take: bool) -> Block:
    """Return the block with the engine's new words taken, or with the tuner's left as they are."""
    fresh = block["fresh"]
    rest = {key: value for key, value in block.items() if key != "fresh"}
    if take:
        return rest | {"text": fresh["text"], "written": fresh["text"], "numbers": fresh["numbers"],
                       "english": fresh["english"], "english_written": fresh["english"]}
    return rest | {"written": fresh["text"], "english_written": fresh["english"]}
