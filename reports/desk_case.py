"""All that the case page shows, gathered for one round."""
from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from analysis.document import faults_of
from intake.models import Case, Round, WorkOrder
from reports import desk_pages, markup, phrases
from reports.desk_evidence import evidence
from reports.models import Draft, Letter, LetterVersion
from reports.ruler import stroke_ruler_svg

FRONT = ("front", "both")


def case_context(case: Case, round: Round, now: datetime) -> dict[str, Any]:
    """Return the template's context: the answers, what the engine made of them, the letter and the trail."""
    draft = Draft.objects.filter(round=round).order_by("-revision", "-id").first()
    findings: Mapping[str, Any] = draft.findings if draft else {}
    faults = {fault.path: f"{fault.problem} {fault.mend}".strip() for fault in faults_of(round.document)}
    return {
        "case": case, "round": round, "rounds": list(case.rounds.order_by("number").defer("document")),
        "age": desk_pages.age_words(case.state_since, now),
        "groups": evidence(round.document, round.photos.all(), faults),
        "draft": draft, "draft_is_old": draft is not None and draft.revision != round.revision,
        "findings": findings, "work": WorkOrder.objects.filter(round=round).first(),
        "events": list(case.events.select_related("user").order_by("-at", "-id")[:60]),
        **conclusion(findings), **letter_context(round),
    }


def conclusion(findings: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the engine concludes, in rows; where a safety sign stops an end there is no advice for it."""
    stops = findings.get("stop_reasons") or ()
    front_stopped = any(stop.get("end") in FRONT for stop in stops)
    bases = ("found", "book") if front_stopped else phrases.SETS
    marks = dict(findings.get("marks") or {})
    if front_stopped:
        marks["advised"] = []
    return {
        "stops": stops, "front_stopped": front_stopped, "heads": [phrases.SET_TITLES[base] for base in bases],
        "bars": desk_pages.cause_bars(findings),
        "fork_rows": desk_pages.fork_table(findings, bases), "ruler": ruler(marks, "large"),
        "service_rows": () if front_stopped else desk_pages.service_table(findings),
        "next_test": None if stops else findings.get("next_test"),
        "advice": () if front_stopped else findings.get("advice") or (),
        "assumed": [
            {**one, "title": desk_pages.question_title(one["path"]),
             "words": desk_pages.cell(one["value"], one.get("unit") or "")}
            for one in findings.get("assumed") or ()
        ],
        "hidden": [
            {"name": one["name"], "words": desk_pages.cell(one["middle"], one["unit"], [one["low"], one["high"]])}
            for one in findings.get("hidden") or ()
        ],
    }


def letter_context(round: Round) -> dict[str, Any]:
    """Return the round's letter with its newest words, approval and deliveries, or Nones where there is none yet."""
    letter = Letter.objects.filter(round=round).select_related("draft", "approved_by").first()
    if letter is None:
        return {"letter": None}
    version = newest_version(letter)
    return {
        "letter": letter, "version": version, "letter_html": letter_html(version.text),
        "stale": letter.draft.revision != round.revision,
        "deliveries": list(letter.deliveries.order_by("id")),
    }


def newest_version(letter: Letter) -> LetterVersion:
    """Return the letter's words as they stand."""
    return letter.versions.get(number=letter.version)


def letter_html(text: str) -> SafeString:
    """Return a letter's words as HTML; ``markup.html`` lets nothing through but its few marks."""
    return mark_safe(markup.html(text))


def ruler(marks: Mapping[str, Any], size: str) -> SafeString | None:
    """Return the stroke ruler, or None where the stroke is not known."""
    if not marks.get("stroke_mm"):
        return None
    return mark_safe(stroke_ruler_svg(marks, size))  # drawn by us from numbers
