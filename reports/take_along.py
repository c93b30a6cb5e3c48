"""Everything that is on file about one case as a zip, written while it is sent: no copy lies about on the disk."""
from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import PurePath
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _

from intake.form import fields_of
from intake.models import Case, Event, Photo, Round
from intake.sheets import Sheet
from intake.words import translated
from reports import markup
from reports.approved import approved_letters
from reports.diary_words import in_words, who_in_words
from reports.models import Letter, TravelLog
from reports.services import recording, text_of

PIECE = 64 * 1024
FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""A table program takes a cell that begins like this for a formula."""


class _Outgoing(io.RawIOBase):
    """Where the zip is written to: what is here is taken away and sent."""

    def __init__(self) -> None:
        super().__init__()
        self._parts: list[bytes] = []

    def writable(self) -> bool:
        return True

    def write(self, data: Any) -> int:
        self._parts.append(bytes(data))
        return len(data)

    def take(self) -> bytes:
        taken, self._parts = b"".join(self._parts), []
        return taken


def archive(case: Case) -> Iterator[bytes]:
    """Yield the zip: a readable index, each round's document, letters, travel logs, photos and the diary."""
    outgoing = _Outgoing()
    with zipfile.ZipFile(outgoing, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in _texts(case):
            packed.writestr(name, content)
            yield outgoing.take()
        for letter in approved_letters(case, replaced=True):
            packed.writestr(f"{_letter_name(letter)}.pdf", _pdf(letter))
            yield outgoing.take()
        for log in TravelLog.objects.filter(round__case=case):
            packed.writestr(f"travel-logs/{log.pk}-{slugify(PurePath(log.name).stem) or 'recording'}.csv",
                            recording(log=log))
            yield outgoing.take()
        for photo in _photos(case):
            yield from _packed_photo(packed, photo, outgoing)
    yield outgoing.take()


def _texts(case: Case) -> Iterator[tuple[str, str]]:
    sheets = [Sheet(case, round, round.document) for round in case.rounds.order_by("number")]
    yield "index.html", render_to_string("reports/rider/all_data.html", {
        "case": case, "letters": _letters(case), "today": timezone.localdate(), "events": _events(case),
        "rounds": [{"round": sheet.round, "places": _places(sheet), "photos": _named_photos(sheet.round)}
                   for sheet in sheets]})
    for sheet in sheets:
        yield f"rounds/round-{sheet.round.number}.json", _json(sheet.round.document)
        if sheet.round.offered:
            yield f"rounds/round-{sheet.round.number}-offered.json", _json(sheet.round.offered)
    for letter in approved_letters(case, replaced=True):
        yield f"{_letter_name(letter)}.txt", markup.plain(_words(letter))
    yield "answers.csv", as_csv((_("Round"), _("Page"), _("Question"), _("Answer"), _("How it is known")), (
        (sheet.round.number, title, field.title, field.said, field.known_words)
        for sheet in sheets for title, fields in _places(sheet) for field in fields))
    yield "diary.csv", as_csv((_("When"), _("Who"), _("What"), _("Details")), (
        (at.isoformat(timespec="seconds"), who, what, json.dumps(detail, ensure_ascii=False) if detail else "")
        for at, who, what, detail in _events(case)))


def as_csv(head: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """Return a table as CSV that no table program takes for formulas."""
    table = io.StringIO()
    writer = csv.writer(table)
    for row in (head, *rows):
        writer.writerow([plain_cell(cell) for cell in row])
    return "\ufeff" + table.getvalue()  # the mark tells a table program that it is UTF-8


def plain_cell(cell: Any) -> Any:
    """Return a cell that is read as text: an apostrophe goes before what looks like the start of a formula."""
    risky = isinstance(cell, str) and (cell.startswith(FORMULA) or cell.lstrip().startswith(FORMULA))
    return f"'{cell}" if risky else cell


def _json(document: Any) -> str:
    return json.dumps(document, indent=2, ensure_ascii=False)


def _places(sheet: Sheet) -> list[tuple[str, list[Any]]]:
    places = [(translated(station.place.title), [field for field in fields_of(station.rows) if field.said])
              for station in sheet.way.stations]
    return [(title, fields) for title, fields in places if fields]


def _letters(case: Case) -> list[dict[str, Any]]:
    return [{"letter": letter, "name": _letter_name(letter), "html": markup.html(_words(letter))}
            for letter in approved_letters(case, replaced=True)]


def _letter_name(letter: Letter) -> str:
    """Return what a letter is called in the zip: of a round's letters, those that were replaced have a number more."""
    later = Letter.objects.filter(round=letter.round_id, approved_at__isnull=False, pk__gt=letter.pk).count()
    return f"letters/round-{letter.round.number}" + (f"-replaced-{later}" if later else "")


def _words(letter: Letter) -> str:
    return text_of(letter=letter, version=letter.approved_version)


def _pdf(letter: Letter) -> bytes:
    return bytes(Letter.objects.values_list("pdf", flat=True).get(pk=letter.pk) or b"")


def _events(case: Case) -> list[tuple[datetime, str, str, Any]]:
    """Return the diary in the reader's language; whoever of us did something is 'tuner' here."""
    approved = {letter.round.number for letter in approved_letters(case)}
    return [(event.at, who_in_words(event.who, bool(event.user_id)), in_words(event.what),
             _may_leave(event.detail, approved)) for event in Event.objects.filter(case=case)]


def _may_leave(detail: Any, approved: set[int]) -> Any:
    """Return an event's detail without the engine's verdict on a round whose letter no tuner has approved.

    Nor does the name of the tuner leave whom a case was handed to.
    """
    without = set() if detail.get("round") in approved else {"verdict"}
    if "note" in detail:
        without.add("to")
    return {name: said for name, said in detail.items() if name not in without}


def _photos(case: Case) -> Iterator[Photo]:
    return Photo.objects.filter(round__case=case).select_related("round").order_by("id").iterator()


def _named_photos(round: Round) -> list[tuple[str, Photo]]:
    return [(_photo_name(photo), photo) for photo in round.photos.select_related("round").order_by("id")]


def _photo_name(photo: Photo) -> str:
    return f"photos/round-{photo.round.number}/{slugify(photo.place)}-{photo.pk}.jpg"


def _packed_photo(packed: zipfile.ZipFile, photo: Photo, outgoing: _Outgoing) -> Iterator[bytes]:
    try:
        file = photo.file.open("rb")
    except FileNotFoundError:  # taken away a moment ago, or not brought back with the database
        return
    with file, packed.open(_photo_name(photo), "w") as packed_file:
        for piece in file.chunks(PIECE):
            packed_file.write(piece)
            yield outgoing.take()
