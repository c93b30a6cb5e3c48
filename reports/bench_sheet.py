"""The bench sheet on paper: this case's tests with big boxes, in the form's own order, for a garage without signal.

Everything goes to the typesetter as data.  The sheet is complete without the page; its code tells whether the paper
still lists what the form asks.
"""
from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import segno
import typst
from django.template import TemplateDoesNotExist
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from analysis.catalogue import BENCH_TESTS
from analysis.catalogue.bench import BEFORE_ANY_TEST
from intake.errors import Refused
from intake.form import Field, Row, fields_of
from intake.numbers import LETTERS
from intake.sheets import Sheet
from intake.stations import Station
from intake.words import translated
from reports.pdf import fonts, printable

TEMPLATE = Path(__file__).parent / "templates" / "typst" / "bench_sheet.typ"
OTHER_UNITS = {"mm": "in", "m": "ft", "kg": "lb", "bar": "psi", "degC": "°F", "ml": "fl oz", "N": "lbf",
               "N/mm": "lbf/in"}
"""Beside each canonical unit, the one that a person with inches and pounds reads off."""
CODE_LENGTH = 4
PRINT_STYLE = ("text{font-family:'DejaVu Sans'}.ground,.on-ink{fill:#fff}.ground-line{stroke:#fff}.shade{fill:#ddd}")
"""The page's drawing classes in black and white."""


def check_printable(sheet: Sheet) -> None:
    """Raise ``Refused`` where no bench test is to be done."""
    if not sheet.is_open:
        raise Refused(_("The answers are handed in, so there is nothing to measure now."),
                      _("Wait for your tuner's letter or question."))
    if sheet.stops:
        raise Refused(_("The bench tests are put away: an answer says that the bike is not safe."),
                      _("Have a workshop look at it first."))
    if not sheet.way.is_safe_to_test:
        raise Refused(_("The bench tests come once you have looked for the signs that mean “do not ride”."),
                      _("Answer the first questions, then print the sheet."))
    if not sheet.way.open_tests:
        raise Refused(_("No bench test is left that would tell us more."), _("Check your answers and hand them in."))


def sheet_code(sheet: Sheet) -> str:
    """Return four signs that change with the case, the round and what bench tests can ask.

    Not a secret: whoever types readings in compares it with the page, to see that paper and form belong together.
    """
    asked = [sheet.case.number, str(sheet.round.number),
             *(path for test in BENCH_TESTS for question in test.questions for path in question.paths())]
    digest = hashlib.sha256("\n".join(asked).encode()).digest()
    return "".join(LETTERS[byte % len(LETTERS)] for byte in digest[:CODE_LENGTH])


def bench_sheet_pdf(sheet: Sheet, address: str = "", picked: Collection[str] = ()) -> bytes:
    """Return the sheet as PDF/UA; ``address`` is the private link for its QR code, blank for a sheet without one.

    ``picked`` are tests by name; with none of them picked, all that are open stand on it.
    """
    return typst.compile(
        TEMPLATE.read_bytes(), format="pdf", pdf_standards="ua-1", font_paths=fonts(),
        sys_inputs={"data": json.dumps(printable(sheet_content(sheet, address, picked)))})


def sheet_content(sheet: Sheet, address: str = "", picked: Collection[str] = ()) -> dict[str, Any]:
    """Return all that stands on the sheet, in the order in which it is read."""
    open_tests, two_units = sheet.way.open_tests, uses_other_units(sheet)
    tests = [station for station in open_tests if station.place.name in picked] or open_tests
    return {
        "lang": (translation.get_language() or "en")[:2], "title": _("Bench sheet %(number)s") % {
            "number": sheet.case.number},
        "author": "Farbench", "description": _("Bench tests of one case, with boxes for the readings."),
        "meta": _meta(sheet), "code": sheet_code(sheet), "qr": qr_svg(address) if address else "",
        "before": [translated(words) for words in BEFORE_ANY_TEST],
        "tests": [_test(place, station, two_units) for place, station in enumerate(tests, start=1)],
        "words": _words(sheet),
    }


def _meta(sheet: Sheet) -> str:
    parts = [_("Round %(round)s") % {"round": sheet.round.number},
             _("printed %(date)s") % {"date": date_format(timezone.localdate(), "DATE_FORMAT")}, sheet.case.title]
    return " · ".join(part for part in parts if part)


def _words(sheet: Sheet) -> dict[str, str]:
    return {
        "first": _("First, so that nobody gets hurt"), "safety": _("Safety"), "steps": _("Step by step"),
        "found": _("What you found"), "left": _("Left leg"), "right": _("Right leg"),
        "code": _("Code of this sheet"),
        "bar": _("This bar is 50 mm long. If your ruler disagrees, print again at 100 %, without fitting to the page."),
        "qr": _("Scan this to open the form. Whoever holds this sheet can open the case: keep it to yourself."),
        "qr_alt": _("QR code of the private link of case %(number)s") % {"number": sheet.case.number},
        "bar_alt": _("A bar of 50 mm with a tick every 10 mm"),
        "type": _("Then type the readings in. The form asks in the same order. A photo of the sheet is welcome too."),
        "date": _("Date"), "air": _("Temperature of the air"), "hand": _("Who measured"),
        "page": _("page %(page)s of %(pages)s"), "many": _("Tick all that fit."), "one": _("Tick one."),
    }


def _test(place: int, station: Station, two_units: bool) -> dict[str, Any]:
    test = station.place
    facts = [_("About %(minutes)s minutes") % {"minutes": test.minutes}]
    if test.tools:
        facts.append(_("You need: %(things)s") % {"things": "; ".join(translated(tool) for tool in test.tools)})
    return {
        "title": f"{place}. {translated(test.title)}", "purpose": translated(test.purpose),
        "safety": translated(test.safety),
        "facts": facts, "steps": [translated(step) for step in test.steps], "drawing": print_drawing(test.drawing),
        "rows": [_row(row, two_units) for row in station.rows if _is_for_paper(row)],
    }


def _is_for_paper(row: Row) -> bool:
    """Tell whether a row can be filled in by hand: it is asked, and no film that only a phone can read."""
    return not row.question.trace and any(field.not_needed is None for field in row.fields)


def _row(row: Row, two_units: bool) -> dict[str, Any]:
    return {"title": translated(row.question.title), "help": translated(row.question.help),
            "kind": row.question.kind, "by_leg": row.by_leg,
            "fields": [_field(field, two_units) for field in row.fields]}


def _field(field: Field, two_units: bool) -> dict[str, Any]:
    units = list(field.units[:1]) or [""]
    if two_units and field.question.unit in OTHER_UNITS:
        units.append(OTHER_UNITS[field.question.unit])
    picks = [translated(pick.title) for pick in field.picks]
    if picks and not field.has_own_unknown:
        picks.append(_("I do not know"))
    said = _("on file: %(answer)s") % {"answer": field.said} if field.said else ""
    return {"side": field.side, "units": units, "picks": picks, "said": said, "repeats": field.question.repeats}


def uses_other_units(sheet: Sheet) -> bool:
    """Tell whether the person typed inches, pounds or the like anywhere in the case."""
    return any(field.unit in OTHER_UNITS.values() and field.text
               for station in sheet.way.stations for field in fields_of(station.rows))


def qr_svg(address: str) -> str:
    """Return the address as a QR code that survives a greasy thumb, with its quiet edge."""
    drawn = io.BytesIO()
    segno.make_qr(address, error="m").save(drawn, kind="svg", xmldecl=False, border=4, omitsize=True)
    return drawn.getvalue().decode()


@dataclass(frozen=True)
class Drawing:
    """A drawing in black and white, what it shows in words, and its key."""

    svg: str
    alt: str
    key: list[list[str]]


def print_drawing(name: str) -> dict[str, Any] | None:
    """Return a bench test's line drawing for paper; None where there is none of that name."""
    try:
        figure = ET.fromstring(render_to_string(f"intake/drawings/{name}.html"))
    except TemplateDoesNotExist:
        return None
    svg = next(element for element in figure.iter() if element.tag == "svg")
    alt = ". ".join(_text(svg.find(tag)) for tag in ("title", "desc") if svg.find(tag) is not None)
    _for_paper(svg)
    return Drawing(ET.tostring(svg, encoding="unicode"), alt, _key(figure.iter("li"))).__dict__


def _for_paper(svg: ET.Element) -> None:
    svg.set("xmlns", "http://www.w3.org/2000/svg")
    svg.set("color", "#000")
    for words in [child for child in svg if child.tag in ("title", "desc")]:
        svg.remove(words)
    style = ET.Element("style")
    style.text = PRINT_STYLE
    svg.insert(0, style)


def _key(items: Iterable[ET.Element]) -> list[list[str]]:
    return [[_text(item.find("b")), _text(item.find("span"))] for item in items]


def _text(element: ET.Element | None) -> str:
    return " ".join("".join(element.itertext()).split()) if element is not None else ""
