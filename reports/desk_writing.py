"""Writing a letter on the desk: block by block with the English beside, or as one text; what was typed always stays."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.http import Http404, HttpRequest

from reports import letter_words as words
from reports import services as letters
from reports.desk_differences import DiffLine, differences
from reports.models import Letter

BLOCK, ENGLISH = "block-", "english-"
WRAPS_AT = 60


@dataclass(frozen=True)
class Typed:
    """What came with a form: the whole text, or words by blocks, and the version they were written on."""

    based_on: int
    text: str | None = None
    texts: dict[str, str] = field(default_factory=dict)
    english: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Row:
    """One block on the page; without a ``name`` the letter has it no more, and it is only shown.

    ``theirs``: what a colleague made of it meanwhile, where both changed it.
    """

    name: str
    title: str
    text: str
    english: str
    differs: bool
    theirs: str = ""
    lines: Sequence[DiffLine] = ()
    has_english: bool = False

    @property
    def lines_shown(self) -> int:
        """How many lines the box has: what stands in it, wrapped, with room for one more."""
        return min(24, 1 + sum(1 + len(line) // WRAPS_AT for line in self.text.split("\n")))


def typed(request: HttpRequest) -> Typed:
    """Return what was typed.  Raises ``Http404`` where the form does not say what it was written on."""
    based_on = version_number(request.POST.get("based_on"))
    if "text" in request.POST:
        return Typed(based_on, _lines(request.POST["text"]))
    return Typed(based_on, None, _named(request.POST, BLOCK), _named(request.POST, ENGLISH))


def version_number(posted: str | None) -> int:
    """Return a version's number out of a form's hidden field."""
    if not posted or not posted.isdecimal() or len(posted) > 6:
        raise Http404("The page did not say which version it showed.")
    return int(posted)


def _named(post: Mapping[str, str], start: str) -> dict[str, str]:
    return {name.removeprefix(start): _lines(post[name]) for name in post if name.startswith(start)}


def _lines(text: str) -> str:
    return text.replace("\r\n", "\n")


def save(letter: Letter, given: Typed, user: Any) -> Letter:
    """Save what was typed as the next version."""
    if given.text is not None:
        return letters.edit_letter(letter=letter, based_on_version=given.based_on, text=given.text, user=user)
    return letters.edit_blocks(letter=letter, based_on_version=given.based_on, texts=given.texts,
                               english=given.english, user=user)


def rows(letter: Letter, given: Typed | None = None) -> list[Row]:
    """Return the newest version's blocks with what was typed over them; what only a colleague changed is theirs."""
    newest = letters.blocks_of(letter=letter)
    if given is None or given.text is not None:
        return [_row(block, block["text"], block["english"]) for block in newest]
    started = min(given.based_on, letter.version)
    base = {block["name"]: block for block in letters.blocks_of(letter=letter, version=started)}
    made = [_merged(block, base.get(block["name"], block), given) for block in newest]
    return made + [Row("", f"{words.TITLES.get(name, name)} (not in the letter any more)", text, "", False)
                   for name, text in given.texts.items() if name not in {row.name for row in made}
                   and text.strip() and text.strip() != base.get(name, {}).get("text")]


def _merged(block: dict[str, Any], base: dict[str, Any], given: Typed) -> Row:
    mine = given.texts.get(block["name"], base["text"])
    english = given.english.get(block["name"], block["english"])
    if mine.strip() == base["text"].strip():
        return _row(block, block["text"], english)
    row = _row(block, mine, english)
    if block["text"] in (base["text"], mine.strip()):
        return row
    return replace(row, theirs=block["text"], lines=differences(block["text"], mine))


def _row(block: dict[str, Any], text: str, english: str) -> Row:
    differs = words.words_differ({**block, "text": text, "english": english})
    return Row(block["name"], words.TITLES.get(block["name"], block["name"]), text, english, differs,
               has_english=bool(block["english_written"]))


def as_text(made: Sequence[Row]) -> str:
    """Return the rows as one text."""
    return words.text_of_blocks([{"text": row.text.strip("\n")} for row in made if row.name])
