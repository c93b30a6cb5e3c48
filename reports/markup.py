"""The letter's few marks (headings, lists, bold, slanted) turned into HTML, print blocks and plain text.

One parser for the preview, the rider's page, the mail and the PDF: no two of them can read a letter differently.
Anything else, HTML above all, stays the plain text that it was typed as.
"""
from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.token import Token

PARSER = MarkdownIt("zero", {"html": False, "breaks": True, "maxNesting": 200}).enable(
    ["heading", "list", "emphasis", "newline", "escape"]
)
MAIL_WIDTH = 76


def html(text: str) -> str:
    """Return safe HTML for a letter's ``text``; a first-level heading becomes second-level, as the page has its own."""
    tokens = PARSER.parse(text)
    for token in tokens:
        if token.tag == "h1":
            token.tag = "h2"
    return PARSER.renderer.render(tokens, PARSER.options, {})


def blocks(text: str) -> list[dict[str, Any]]:
    """Return a letter's ``text`` as JSON-able blocks in reading order.

    Each is ``{"kind": "heading" | "paragraph" | "bullet" | "number", "level": int, "spans": [...]}``; a heading's
    level is 2 or more, any other block's is its depth in lists.  A numbered block also has its ``ordinal``.
    A span is ``{"text", "bold", "italic"}``; a typed line break is "\\n" inside its text.
    """
    found: list[dict[str, Any]] = []
    lists: list[dict[str, Any]] = []
    for token in PARSER.parse(text):
        if token.type in ("bullet_list_open", "ordered_list_open"):
            first = int(token.attrs.get("start", 1))
            lists.append({"kind": "bullet" if token.tag == "ul" else "number", "next": first, "fresh": False})
        elif token.type in ("bullet_list_close", "ordered_list_close"):
            lists.pop()
        elif token.type == "list_item_open":
            lists[-1]["fresh"] = True
        elif token.type == "heading_open":
            found.append({"kind": "heading", "level": max(2, int(token.tag[1:])), "spans": []})
        elif token.type == "paragraph_open":
            found.append(_paragraph(lists))
        elif token.type == "inline":
            found[-1]["spans"] = _spans(token.children or ())
    return found


def _paragraph(lists: list[dict[str, Any]]) -> dict[str, Any]:
    """Start a block: a list's item where it is the first of its item, else a paragraph at the list's depth."""
    if not lists or not lists[-1]["fresh"]:
        return {"kind": "paragraph", "level": len(lists), "spans": []}
    here = lists[-1]
    here["fresh"] = False
    block = {"kind": here["kind"], "level": len(lists), "spans": []}
    if here["kind"] == "number":
        block["ordinal"] = here["next"]
        here["next"] += 1
    return block


def _spans(tokens: Sequence[Token]) -> list[dict[str, Any]]:
    spans: list[dict[str, Any]] = []
    bold = italic = 0
    for token in tokens:
        if token.type.startswith("strong"):
            bold += token.nesting
        elif token.type.startswith("em"):
            italic += token.nesting
        else:
            words = "\n" if token.type in ("softbreak", "hardbreak") else token.content
            _add(spans, words, bold > 0, italic > 0)
    return spans


def _add(spans: list[dict[str, Any]], text: str, bold: bool, italic: bool) -> None:
    """Add ``text``, joined to the last span where it looks the same."""
    if not text:
        return
    if spans and (spans[-1]["bold"], spans[-1]["italic"]) == (bold, italic):
        spans[-1]["text"] += text
    else:
        spans.append({"text": text, "bold": bold, "italic": italic})


def plain(text: str) -> str:
    """Return a letter's ``text`` for a plain-text mail: wrapped, headings underlined, no marks left over."""
    parts: list[str] = []
    before = ""
    for block in blocks(text):
        if parts:
            parts.append("" if before == block["kind"] in ("bullet", "number") else "\n")
        parts.append(_plain_block(block) + "\n")
        before = block["kind"]
    return "".join(parts)


def _plain_block(block: dict[str, Any]) -> str:
    words = "".join(span["text"] for span in block["spans"])
    if block["kind"] == "heading":
        return f"{words}\n{'-' * min(len(words), MAIL_WIDTH)}"
    indent = "  " * max(block["level"] - 1, 0)
    mark = {"bullet": "- ", "number": f"{block.get('ordinal')}. ", "paragraph": ""}[block["kind"]]
    lines = words.split("\n")
    wrapped = [
        textwrap.fill(line, MAIL_WIDTH, initial_indent=indent + (mark if at == 0 else " " * len(mark)),
                      subsequent_indent=indent + " " * len(mark), break_long_words=False, break_on_hyphens=False)
        for at, line in enumerate(lines)
    ]
    return "\n".join(wrapped)
