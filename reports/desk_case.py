"""All that the case page shows, gathered for one round."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Literal

from django.utils.safestring import SafeString, mark_safe

from analysis.catalogue import QUESTIONS
from analysis.document import faults_of
from intake.danger_words import spoken_of
from intake.models import Case, Round, WorkOrder
from intake.photo_words import photos_to_come
from intake.services import PROOFS, outcomes
from intake.states import OPEN_FOR_ANSWERS, sources
from reports import desk_pages, markup, phrases
from reports.desk_beside import beside
from reports.desk_close import said_so_far
from reports.desk_evidence import count_known, evidence, odd_answers
from reports.desk_judgement import judgement_context
from reports.desk_offer import words_on_offer
from reports.desk_settle import settle_context
from reports.likeness import like_context
from reports.models import Delivery, Draft, Letter, LetterVersion
from reports.more_parts import more_tables
from reports.ruler import stroke_ruler_svg
from reports.shop_sheet import sheet_of_letter
from reports.try_context import trial_context

FRONT = ("front", "both")
WORTH_A_BAR = 3
"""Per cent.  Less likely causes are named in one line."""
MOST_BARS = 4


def case_context(case: Case, round: Round, now: datetime) -> dict[str, Any]:
    """Return the template's context: the answers, what the engine made of them, the letter and the trail."""
    draft = Draft.objects.filter(round=round).order_by("-revision", "-id").first()
    findings: Mapping[str, Any] = draft.findings if draft else {}
    faults = {fault.path: f"{fault.problem} {fault.mend}".strip() for fault in faults_of(round.document)}
    groups = evidence(round.document, round.photos.all(), faults, odd_answers(findings))
    return {
        "case": case, "round": round, "rounds": list(case.rounds.order_by("number").defer("document")),
        "age": desk_pages.age_words(case.state_since, now),
        "groups": [group for group in groups if group.facts or group.photos],
        "photos_to_come": photos_to_come(round), "case_is_open": case.state in OPEN_FOR_ANSWERS,
        "draft": draft, "draft_is_old": draft is not None and draft.revision != round.revision,
        "findings": findings, "work": WorkOrder.objects.filter(round=round).first(),
        "not_answered": [(group.title, group.open_titles) for group in groups if group.open_titles],
        "events": list(case.events.select_related("user").order_by("-at", "-id")[:60]),
        "spoken": spoken_of(round), "known_counts": count_known(groups), "offered": words_on_offer(round),
        **conclusion(findings), **letter_context(round), **moves(case, round), **trial_context(case, round, draft),
        **judgement_context(draft), **like_context(case), **beside(case, round),
    }


def moves(case: Case, round: Round) -> dict[str, Any]:
    """Return where the case can go from here, and how it ended."""
    newest = round.pk == case.current_round.pk
    return {
        "is_newest": newest, "can_ask": newest and case.state in sources(Case.State.NEEDS_ANSWER),
        "can_open_round": case.state in sources(Case.State.COLLECTING),
        "outcome_title": outcome_title(case.outcome), "earlier": said_so_far(case),
        "proof_title": PROOFS.get(case.outcome_proof, case.outcome_proof),
    }


def outcome_title(outcome: str) -> str:
    """Return how a case ended in words; blank where it has not."""
    return outcomes().get(outcome, outcome)


def conclusion(findings: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the engine concludes, in rows; where a safety sign stops an end there is no advice for it."""
    stops = findings.get("stop_reasons") or ()
    front_stopped = any(stop.get("end") in FRONT for stop in stops)
    bases = ("found", "book") if front_stopped else phrases.SETS
    bars = desk_pages.cause_bars(findings)
    shown = max(1, sum(bar.length >= WORTH_A_BAR for bar in bars[:MOST_BARS]))
    titles = {cause["name"]: cause["title"] for cause in findings.get("causes") or ()}
    return {
        "stops": stops, "stop_signs": _by_what_to_do(stops), "front_stopped": front_stopped,
        "heads": [phrases.SET_TITLES[base] for base in bases],
        "bars": bars[:shown], "less_likely": [bar for bar in bars[shown:] if bar.length >= 1],
        "hardly": [bar.title for bar in bars[shown:] if bar.length < 1], "why_open": _why_open(findings),
        "fork_rows": desk_pages.fork_table(findings, bases), "more_tables": more_tables(findings),
        "ruler": ruler(findings.get("marks"), "large", advised=not front_stopped),
        "service_rows": () if front_stopped else desk_pages.service_table(findings),
        "next_test": None if stops else findings.get("next_test"),
        "expected": [(titles.get(one["cause"], one["cause"]), one["words"])
                     for one in (findings.get("next_test") or {}).get("expect") or ()],
        "advice": () if front_stopped else findings.get("advice") or (),
        "missing": [{**one, "title": _missing_title(one)} for one in findings.get("missing") or ()],
        "assumed": [
            {**one, "title": desk_pages.question_title(one["path"]),
             "cell": desk_pages.cell(one["value"], one.get("unit") or "")}
            for one in findings.get("assumed") or ()
        ],
        "hidden": [
            {"name": one["name"], "cell": desk_pages.cell(one["middle"], one["unit"], [one["low"], one["high"]])}
            for one in findings.get("hidden") or ()
        ],
    }


def _by_what_to_do(stops: Iterable[Mapping[str, str]]) -> dict[str, list[str]]:
    """Gather the stop signs that ask for the same thing, in their order."""
    gathered: dict[str, list[str]] = {}
    for stop in stops:
        gathered.setdefault(stop["do"], []).append(stop["reason"])
    return gathered


def _why_open(findings: Mapping[str, Any]) -> list[str]:
    """Return why nothing can be concluded yet, without what already stands among the contradictions."""
    said = {one["words"] for one in findings.get("disagreements") or ()}
    return [why for why in (findings.get("verdict") or {}).get("why_open") or () if why not in said]


def _missing_title(one: Mapping[str, str]) -> str:
    return desk_pages.question_title(one["path"]) if one["path"] in QUESTIONS else one["title"]


def letter_context(round: Round) -> dict[str, Any]:
    """Return the round's letter with its newest words, approval and deliveries, or Nones where there is none yet."""
    letter = Letter.objects.filter(round=round).select_related("draft", "approved_by", "replaces").first()
    if letter is None:
        return {"letter": None}
    version = newest_version(letter)
    deliveries = list(letter.deliveries.order_by("id"))
    taken_back = [one for one in deliveries if one.state == Delivery.State.TAKEN_BACK]
    goes_out = len(taken_back) < len(deliveries)
    return {
        "letter": letter, "version": version, "letter_html": letter_html(version.text),
        "english_html": letter_html(letter.draft.english_text),
        "stale": letter.draft.revision != round.revision, "has_sheet": sheet_of_letter(letter)[0] is not None,
        "deliveries": deliveries, "goes_out": goes_out,
        "send_to": "" if goes_out else taken_back[-1].to if taken_back else _first_address(round.case),
        **settle_context(letter),
    }


def _first_address(case: Case) -> str:
    """Return where the letter most likely goes: to the rider, or to the shop that forwarded the job."""
    return case.rider_email or (case.shop.email if case.shop else "")


def newest_version(letter: Letter) -> LetterVersion:
    """Return the letter's words as they stand."""
    return letter.versions.get(number=letter.version)


def letter_html(text: str) -> SafeString:
    """Return a letter's words as HTML; ``markup.html`` lets nothing through but its few marks."""
    return mark_safe(markup.html(text))


def ruler(marks: Mapping[str, Any] | None, size: Literal["small", "large"], *, advised: bool = True) -> SafeString:
    """Return the stroke ruler; without ``advised`` that side stays empty, as where a safety sign forbids advice."""
    shown = {**(marks or {}), **({} if advised else {"advised": []})}
    return mark_safe(stroke_ruler_svg(shown, size))  # drawn by us from numbers
