"""What the rider's case page says beyond the form: what we know, who has to act, the ruler, the letters."""
from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from analysis.answers import default_known
from intake.form import KNOWN, Field, fields_of
from intake.models import Case
from intake.sheets import Sheet
from intake.words import translated
from reports.approved import approved_letters, outvoted
from reports.models import Letter
from reports.phrases import quantity
from reports.rider_numbers import Reading, readings
from reports.ruler import ruler_words, stroke_ruler_svg
from reports.services.fees import shown_fee

S = Case.State
WAITS_FOR = {
    S.COLLECTING: gettext_lazy("you"), S.NEEDS_ANSWER: gettext_lazy("you"), S.ADVISED: gettext_lazy("you"),
    S.HANDED_IN: gettext_lazy("us"), S.READY: gettext_lazy("your tuner"), S.WORKSHOP_ONLY: gettext_lazy("a workshop"),
}
WAITS_WITH = {
    S.COLLECTING: gettext_lazy("your answers and readings, and then that you hand them in"),
    S.NEEDS_ANSWER: gettext_lazy("your answer to the tuner's question"),
    S.ADVISED: gettext_lazy("what you did, and how it is now"),
    S.HANDED_IN: gettext_lazy("the numbers to be worked out"),
    S.READY: gettext_lazy("a tuner to read the numbers and write to you"),
    S.WORKSHOP_ONLY: gettext_lazy("the bike to be put right"),
}


@dataclass(frozen=True)
class Count:
    """How many answers are known in one way."""

    words: str
    number: int


def standing(sheet: Sheet) -> dict[str, Any]:
    """Return what the page shows of where the case stands; nothing that no tuner has approved."""
    letters = list(approved_letters(sheet.case))
    measured = readings(sheet.read)
    marks = ruler_marks(sheet, measured, letters[0] if letters else None)
    waits = sheet.case.state
    return {
        "sheet": sheet, "letters": letters, "fee": shown_fee(case=sheet.case), "readings": [
            (reading.title, quantity(reading.at_mm, "mm")) for reading in measured.values()],
        "counts": counts(sheet), "ruler": _drawn(marks), "ruler_words": ruler_words(marks) if marks else [],
        "waits_for": WAITS_FOR.get(waits), "waits_with": WAITS_WITH.get(waits),
        "wanted": sheet.way.next.title if sheet.is_open and sheet.way.next.is_test else "",
    }


def counts(sheet: Sheet) -> list[Count]:
    """Return how many answers were measured, remembered and so on: the better known, the surer the letter."""
    ways = Counter(_way(field) for station in sheet.way.stations for field in fields_of(station.rows) if field.said)
    named = {choice.value: translated(choice.title) for choice in KNOWN}
    found = [Count(words, ways[value]) for value, words in named.items() if ways[value]]
    return [*([Count(_("Said in words or picked"), ways[""])] if ways[""] else []), *found]


def _way(field: Field) -> str:
    if field.known == "unknown" or "unknown" in field.picked:
        return "unknown"
    return (field.known or default_known(field.path)) if field.question.kind == "quantity" else ""


def ruler_marks(sheet: Sheet, measured: dict[str, Reading], letter: Letter | None) -> dict[str, Any] | None:
    """Return the marks that the rider may see: those of the newest approved letter, else only what was measured.

    A letter that stops the ride shows no advised side; a reading that is newer than the letter stands in its place.
    """
    own = [{"name": reading.mark, "at_mm": round(reading.at_mm, 1)} for reading in measured.values() if reading.mark]
    if letter is not None:
        findings = letter.draft.findings
        marks = dict(findings.get("marks") or {})
        if findings.get("stop_riding") or outvoted(letter):
            marks["advised"] = []
        return marks | ({"measured": own} if letter.round_id != sheet.round.pk and own else {})
    travel = sheet.read.value("fork.travel_mm") if sheet.read else None
    if not own:
        return None
    stroke = travel * 1e3 if isinstance(travel, float) else max(mark["at_mm"] for mark in own) * 1.25
    return {"stroke_mm": round(stroke, 1), "found": [], "advised": [], "measured": own}


def _drawn(marks: dict[str, Any] | None) -> SafeString:
    return mark_safe(stroke_ruler_svg(marks, "large")) if marks else mark_safe("")  # drawn by us from numbers
