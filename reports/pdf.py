"""The report as a tagged PDF: letter first, then figures and tables, then the workshop's service sheet.

Everything goes to the typesetter as data, so nothing that a person typed is read as markup.  The fonts are those that
the plotting library brings along: they cover Latin, Greek, Cyrillic, Hebrew and Arabic, and hold a stand-in sign for
every other script, without which a tagged compile would fail.  Fonts of the machine are not looked at, so that a letter
looks the same everywhere.
"""
from __future__ import annotations

import json
import unicodedata
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import typst
from django.utils.translation import get_language, gettext_noop

from reports.markup import blocks
from reports.more_parts import more_tables
from reports.phrases import sentence
from reports.service_sheet import sheet_data
from reports.tongue import tell

TEMPLATE = Path(__file__).parent / "templates" / "typst" / "report.typ"
BIDI_CONTROLS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""They could make a line read other than it was approved."""
BESIDE_RULER = 1
"""So many sections of the letter stand beside the ruler on the first page."""

PRINTED = (
    gettext_noop("What"), gettext_noop("Value"), gettext_noop("Figures and their numbers"),
    gettext_noop("More numbers in words"),
    gettext_noop("For looking up. What to do first, and the one thing to change, stand in the letter."),
    gettext_noop("Service sheet for the workshop"), gettext_noop("Workshop's stamp"),
    gettext_noop("Workshop's job number"), gettext_noop("Date and hand"), gettext_noop("Oil, leg by leg"),
    gettext_noop("Per leg"), gettext_noop("Left"), gettext_noop("Right"), gettext_noop("Left, done"),
    gettext_noop("Right, done"), gettext_noop("Order of work"), gettext_noop("Done"), gettext_noop("Step"),
    gettext_noop("Tightening"), gettext_noop("Joint"), gettext_noop("Torque, from your manual"),
    gettext_noop("Afterwards"), gettext_noop("Measured before and after"), gettext_noop("Left, before"),
    gettext_noop("Left, after"), gettext_noop("Right, before"), gettext_noop("Right, after"),
    gettext_noop("To fill a leg that was emptied: one of these ways, never two"), gettext_noop("Leg"),
    gettext_noop("Poured in"), gettext_noop("Spacer and preload"), gettext_noop("The work to do"),
    gettext_noop("Oil, leg by leg, if the legs are opened"), gettext_noop("Order of work, if the legs are opened"),
)
"""What the template itself says."""

Findings = Mapping[str, Any]


def report_pdf(letter_text: str, findings: Findings, figures: Sequence[Mapping[str, Any]],
               head: Mapping[str, Any]) -> bytes:
    """Return the report as PDF/UA.

    A bike that must not be ridden gets its letter alone: neither figure nor table nor service sheet, for they hold
    advice.  The sheet of a shop's job goes to the shop alone, from one trade to the other.
    """
    stop = bool(findings.get("stop_riding"))
    printed = [] if stop else [_figure(figure) for figure in figures]
    opening, rest = _split(blocks(letter_text))
    data = _head(head) | {
        "said": {words: tell(words) for words in PRINTED},
        "stop": stop, "stop_words": tell("Do not ride this motorcycle."), "opening": opening, "letter": rest,
        "ruler": next((figure for figure in printed if figure["name"] == "ruler"), None),
        "figures": [_on_page_one(figure) if figure["name"] == "ruler" else figure for figure in printed],
        "tables": [] if stop else [{"title": table.title, "rows": [list(row) for row in table.rows]}
                                   for table in more_tables(findings)],
        "sheet": None if stop or head.get("by_shop") else sheet_data(findings),
    }
    return _compiled(data)


def service_sheet_pdf(sheet: Mapping[str, Any], head: Mapping[str, Any]) -> bytes:
    """Return the service sheet alone as PDF/UA; ``head`` also holds the shop and its job number, both may be blank."""
    return _compiled(_head(head) | {
        "said": {words: tell(words) for words in PRINTED}, "alone": True, "stop": False, "opening": [], "letter": [],
        "title": tell("Service sheet for the workshop"), "shop": str(head.get("shop") or ""),
        "job": str(head.get("job") or ""), "ruler": None, "figures": [], "tables": [], "sheet": sheet,
    })


def _compiled(data: Mapping[str, Any]) -> bytes:
    return typst.compile(
        TEMPLATE.read_bytes(), format="pdf", pdf_standards="ua-1", font_paths=fonts(),
        sys_inputs={"data": json.dumps(printable(data))})


@cache
def fonts() -> typst.Fonts:
    """Return the fonts that are printed with: those that the plotting library brings along."""
    plotting = find_spec("matplotlib")
    if plotting is None or plotting.origin is None:
        raise RuntimeError("The fonts of matplotlib are missing. Install the requirements again.")
    folder = Path(plotting.origin).parent / "mpl-data" / "fonts" / "ttf"
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(folder)])


def _head(head: Mapping[str, Any]) -> dict[str, Any]:
    number = str(head.get("number") or "")
    parts = [tell("Case {number}", number=number) if number else "",
             tell("Round {round}", round=head["round"]) if head.get("round") else "",
             str(head.get("date") or ""), str(head.get("title") or "")]
    return {
        "title": tell("Suspension report {number}", number=number).strip(),
        "author": str(head.get("tuner") or "Farbench"),
        "description": sentence(str(head.get("title") or tell("What we found, what to do next, and why"))),
        "lang": (get_language() or "en")[:2],
        "meta": " · ".join(part for part in parts if part), "footer": f"Farbench {number}".strip(),
        "page": tell("page %(page)s of %(pages)s"),
    }


def _split(letter: list[dict[str, Any]]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return the part of the letter that stands beside the ruler, and the rest."""
    headings = [index for index, block in enumerate(letter) if block["kind"] == "heading"]
    cut = headings[BESIDE_RULER] if len(headings) > BESIDE_RULER else len(letter)
    return letter[:cut], letter[cut:]


def _figure(figure: Mapping[str, Any]) -> dict[str, Any]:
    told = " ".join(sentence(f"{label}: {value}") for label, value in figure["words"])
    return {"name": figure["name"], "title": figure["title"], "svg": figure["svg"], "words": figure["words"],
            "alt": f"{figure['title']}. {told}"}


def _on_page_one(figure: Mapping[str, Any]) -> dict[str, Any]:
    return {**figure, "svg": "", "alt": tell("Drawn beside the letter on the first page.")}


def printable(value: Any) -> Any:
    """Return JSON-able ``value`` with only characters that a page can hold; lines and everything else stay."""
    if isinstance(value, str):
        return "".join(_character(character) for character in value)
    if isinstance(value, Mapping):
        return {key: printable(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [printable(item) for item in value]
    return value


def _character(character: str) -> str:
    if character in BIDI_CONTROLS:
        return ""
    if character in "\n\t":
        return character
    code = ord(character)
    if unicodedata.category(character) in ("Cc", "Cs") or code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF:
        return "\ufffd"
    return character
