"""The main numbers of a round as the rider may see them: measured ones at once, worked-out ones with the letter."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from analysis.document import Case as ReadCase
from analysis.sag import sag_from_readings
from intake.form import fields_of
from intake.models import Round
from intake.reading import readable_case
from intake.services.rounds import ASKED_ANEW
from intake.sheets import Sheet
from intake.words import translated
from reports.desk_pages import fork_table
from reports.models import Letter
from reports.phrases import quantity

MM = 1e-3
READINGS = {
    "free sag": (gettext_noop("Free sag"), "bench.sag.free_sag_mm", "free sag measured"),
    "rider sag": (gettext_noop("Rider sag"), "bench.sag.rider_sag_mm", "rider sag measured"),
    "travel used": (gettext_noop("Travel used on a ride"), "bench.travel.used_mm", "travel used"),
    "slow push": (gettext_noop("Stroke with a slow lean"), "bench.push.slow_stroke_mm", ""),
    "quick push": (gettext_noop("Stroke with a quick, hard push"), "bench.push.quick_stroke_mm", ""),
}
"""By name: title, where it is answered directly, and its mark on the stroke ruler."""


@dataclass(frozen=True)
class Reading:
    """One measured number, in mm."""

    title: str
    at_mm: float
    mark: str


@dataclass(frozen=True)
class Pair:
    """One number or answer before and after."""

    title: str
    before: str
    after: str

    @property
    def differs(self) -> bool:
        """Tell whether it is another one now."""
        return self.before != self.after


def readings(read: ReadCase | None) -> dict[str, Reading]:
    """Return what the rider measured, by name; sag from its readings where they are whole."""
    found = {}
    for name, (title, path, mark) in READINGS.items():
        at_m = _sag(read, name.partition(" ")[0]) if path.startswith("bench.sag.") else None
        if at_m is None and read is not None:
            at_m = read.value(path)
        if isinstance(at_m, float):
            found[name] = Reading(_(title), at_m / MM, mark)
    return found


def _sag(read: ReadCase | None, which: str) -> float | None:
    paths = ("extended", f"{which}_from_below", f"{which}_from_above")
    answers = [read and read.answer(f"bench.sag.{path}_mm") for path in paths]
    if not all(answers):
        return None
    extended, below, above = (float(answer.value) for answer in answers)
    return sag_from_readings(extended, below, above, answers[0].sd).mean


def number_pairs(before: Round, after: Round) -> list[Pair]:
    """Return the main numbers of two rounds side by side, those that at least one of them has."""
    old, new = (readings(readable_case(round.document)) for round in (before, after))
    pairs = [Pair(_(title), _in_mm(old.get(name)), _in_mm(new.get(name)))
             for name, (title, _path, _mark) in READINGS.items() if name in old or name in new]
    then, now = (_worked_out(round) for round in (before, after))
    return pairs + [Pair(title, then.get(title, ""), now.get(title, "")) for title in {**then, **now}]


def _in_mm(reading: Reading | None) -> str:
    return quantity(reading.at_mm, "mm") if reading else ""


def _worked_out(round: Round) -> dict[str, str]:
    """Return the fork's figures as found, once a tuner has approved a letter on them; none for a stopped bike."""
    letter = Letter.objects.filter(round=round, approved_at__isnull=False).select_related("draft").first()
    findings: Mapping[str, Any] = letter.draft.findings if letter else {}
    if findings.get("stop_riding"):
        return {}
    return {_("Worked out: %(what)s") % {"what": translated(row.title)}: row.cells[0].words
            for row in fork_table(findings, ("found",))}


def answer_pairs(before: Round, after: Round) -> list[Pair]:
    """Return the answers that differ between two rounds, in the form's order.

    What every round asks anew (safety, bench) and this one has not answered yet is no change.
    """
    old, new = (_said(round) for round in (before, after))
    titles = {path: title for path, (title, _words) in {**old, **new}.items()}
    pairs = [Pair(title, old.get(path, ("", ""))[1], new.get(path, ("", ""))[1]) for path, title in titles.items()
             if path in new or path.partition(".")[0] not in ASKED_ANEW]
    return [pair for pair in pairs if pair.differs]


def _said(round: Round) -> dict[str, tuple[str, str]]:
    """Return the round's answers by path, each with its page and question as the title."""
    sheet = Sheet(round.case, round, round.document)
    return {field.path: (f"{translated(station.place.title)} · {field.title}", field.said)
            for station in sheet.way.stations for field in fields_of(station.rows) if field.said}
