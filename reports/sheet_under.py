"""Data sheets laid under a round's answers: they fill what the rider has not answered, and never overwrite."""
from __future__ import annotations

import math
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from analysis.answers import take_answer
from analysis.case import Answer
from analysis.catalogue import QUESTIONS, SIDES
from analysis.document import faults_of
from analysis.notes import Notes
from analysis.units import from_si
from intake.models import Round
from intake.paths import at_path, is_blank, put
from reports.facts import value_words
from reports.shelf_fields import CONDITION, LEVEL, RATES, filled_by, steps_of
from reports.shelf_models import SheetLink, SheetVersion

TWICE = 2.0
"""So many spreads, of answer and sheet together, are a difference: about one in twenty differs so by chance."""
SPRUNG = ("spring.", "steel_volume", "preload")
OF_ITS_WORK = ("oil_level_book_mm", "oil_volume_book_ml", "inner_parts_area_mm2")
"""What differs between legs that have each their own work."""
ONE_SPRING_LEG, NO_SPRING = "separate function", "air"


@dataclass
class Laid:
    """One sheet under one round: what it filled, what differs from an answer, what was left out and why."""

    version: SheetVersion
    filled: list[dict[str, str]] = field(default_factory=list)
    differ: list[dict[str, str]] = field(default_factory=list)
    left_out: list[dict[str, str]] = field(default_factory=list)

    def as_document(self) -> dict[str, Any]:
        """Return it as the findings carry it."""
        return {"kind": self.version.sheet.kind, "name": self.version.name, "version": self.version.number,
                "filled": self.filled, "differ": self.differ, "left_out": self.left_out}


@dataclass(frozen=True)
class Under:
    """The answers with what the sheets fill, and what each sheet did."""

    document: dict[str, Any]
    sheets: tuple[Laid, ...]

    def told(self) -> dict[str, Any]:
        """Return what the findings say of it; nothing where no sheet is linked."""
        return {"sheets": [one.as_document() for one in self.sheets]} if self.sheets else {}

    def stock(self) -> dict[str, tuple[float, ...]]:
        """Return the springs that can be had, in N/m, by the kind of sheet."""
        read = {one.version.sheet.kind: tuple(_rates(one.version)) for one in self.sheets}
        return {kind: rates for kind, rates in read.items() if rates}


def lay_under(round: Round) -> Under:
    """Return the round's answers with the case's data sheets under them.  The round itself stays as it is."""
    links = list(SheetLink.objects.filter(case=round.case_id, ended_at__isnull=True).select_related("version__sheet"))
    if not links:
        return Under(round.document, ())
    document, laid = deepcopy(round.document), []
    for link in links:
        one = Laid(link.version)
        document = _without_faults(_filled(document, one), document, one)
        laid.append(one)
    return Under(document, tuple(laid))


def _filled(document: dict[str, Any], laid: Laid) -> dict[str, Any]:
    made, kind, values = deepcopy(document), laid.version.sheet.kind, laid.version.values
    for path, typed in filled_by(kind, values).items():
        there, raw = at_path(document, path)
        own = _read(path, raw) if there and not is_blank(raw) else None
        book = _book(path, typed)
        if own is not None and book is not None:
            _compare(own, book, laid)
        elif there and raw is not None and not is_blank(raw) and not _says_unknown(raw):
            continue  # an answer that cannot be read is still an answer
        elif book is not None and (why := _does_not_suit(made, path)):
            laid.left_out.append(_told(path, book) | {"why": why})
        elif book is not None:
            put(made, path, {"value": book.typed if isinstance(book.value, str) else float(book.typed),
                             "known": "documented"}, {})
            laid.filled.append(_told(path, book))
    if kind == "fork" and values.get(LEVEL) and values.get(CONDITION) in (None, "", "other"):
        laid.left_out.append({
            "path": "", "title": "Oil level in the papers", "value": values[LEVEL], "leg": "",
            "why": "The sheet does not say that it is read with the leg together and the spring out."})
    return made


def _read(path: str, raw: object) -> Answer | None:
    notes = Notes()
    take_answer(path, QUESTIONS[path], raw, notes)
    return notes.answers.get(path)


def _book(path: str, typed: str) -> Answer | None:
    """Return a sheet's value; a quantity as a bare number in the question's unit, as nobody wrote it into this case."""
    read, question = _read(path, typed), QUESTIONS[path]
    if read is None or not isinstance(read.value, float):
        return read
    return _read(path, float(f"{from_si(read.value, question.unit):.6g}"))


def _says_unknown(raw: object) -> bool:
    said = raw.get("known") if isinstance(raw, dict) else raw
    return isinstance(said, str) and said.strip().casefold() == "unknown"


def _compare(own: Answer, book: Answer, laid: Laid) -> None:
    if isinstance(own.value, float) and isinstance(book.value, float):
        apart = abs(own.value - book.value) > TWICE * math.hypot(own.sd, book.sd)
    else:
        apart = QUESTIONS[own.path].kind == "choice" and own.value != book.value
    if apart:
        laid.differ.append(_told(own.path, own) | {"sheet": value_words(book)})


def _told(path: str, answer: Answer) -> dict[str, str]:
    leg = next((f", {side} leg" for side in SIDES if path.startswith(f"fork.{side}.")), "")
    return {"path": path, "title": QUESTIONS[path].title, "leg": leg, "value": value_words(answer)}


def _does_not_suit(document: dict[str, Any], path: str) -> str:
    """Return why a leg's values are not filled in: both legs alike would be wrong."""
    if not path.startswith(("fork.left.", "fork.right.")):
        return ""
    name, own_work = path.split(".", 2)[2], _picked(document, "fork.damper") == ONE_SPRING_LEG
    if own_work and name in OF_ITS_WORK:
        return "Each leg has its own work here, and the sheet does not say which leg it means."
    if not name.startswith(SPRUNG):
        return ""
    if own_work:
        return "Only one leg has a spring, and the sheet does not say which."
    return "This fork has no coil spring." if _picked(document, "fork.springing") == NO_SPRING else ""


def _picked(document: dict[str, Any], path: str) -> object:
    there, raw = at_path(document, path)
    answer = _read(path, raw) if there else None
    return answer.value if answer else None


def _without_faults(made: dict[str, Any], before: dict[str, Any], laid: Laid) -> dict[str, Any]:
    """Take out again what does not go together with the answers: a sheet must never keep a case from its draft."""
    for _ in range(2):
        known = set(faults_of(before))
        new = {fault.path: fault.problem for fault in faults_of(made) if fault not in known}
        if not new:
            return made
        bad = [one for one in laid.filled if one["path"] in new]
        if not bad:
            break
        for one in bad:
            put(made, one["path"], "", {})
            laid.filled.remove(one)
            laid.left_out.append(one | {"why": f"It does not go with the answers: {new[one['path']]}."})
    if {*faults_of(made)} <= {*faults_of(before)}:
        return made
    laid.left_out += [one | {"why": "It does not go with the answers."} for one in laid.filled]
    laid.filled.clear()
    return deepcopy(before)


def _rates(version: SheetVersion) -> list[float]:
    path = "shock.spring.rate_n_per_mm" if version.sheet.kind == "shock" else "fork.left.spring.rate_n_per_mm"
    read = [_read(path, typed) for typed in steps_of(version.values.get(RATES, ""))]
    return sorted({one.value for one in read if one is not None and isinstance(one.value, float)})
