"""Saying what a case really was: the case is closed or corrected, and held against what we had said of it."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from analysis.causes import BY_NAME
from intake import services as cases
from intake.errors import Refused
from intake.models import Case
from intake.paths import storable
from intake.states import hold
from reports.models import Draft, Judgement, Letter, Outcome, WorthOfTest
from reports.outcome_numbers import NUMBERS, foretold
from reports.outcome_odds import MINUTES, base_odds, bits_by_test, brier, odds_of

NOTHING_WRONG = "nothing wrong or measured badly"
WAYS = {Outcome.Solved.REMOTE.value: "The rider, with our letter", Outcome.Solved.WORKSHOP.value: "A workshop"}
"""Who did what was done."""
MOST_CAUSES = 4
LONGEST_LESSON = 300
ANSWERS = ("Rider asked.", "Rider advised.")
"""What in a case's diary is an answer from a person."""


def record_outcome(
    *, case: Case, outcome: str, user: AbstractBaseUser, proof: str = "", words: str = "", also: Sequence[str] = (),
    done_by: str = "", lesson: str = "", harm: bool = False, measured: Mapping[str, float] | None = None,
) -> Outcome:
    """Close the case with what it really was; a closed one is corrected by a row that takes the first one's place.

    ``also`` names further causes, ``done_by`` who put it right, ``measured`` numbers by ``outcome_numbers``.  The same
    again changes nothing.  Raises ``Refused`` where something is missing or cannot be.
    """
    causes, lesson = list(dict.fromkeys((outcome, *also))), " ".join(storable(lesson).split())
    _check(causes, done_by, lesson, measured or {})
    with transaction.atomic():
        hold(case)
        standing = Outcome.objects.filter(case=case, stands=True).first()
        if case.state == Case.State.CLOSED:
            said = {"causes": causes, "proof": proof, "done": storable(words).strip(), "lesson": lesson, "harm": harm,
                    "measured": dict(measured or {}), "solved": _solved(outcome, done_by)}
            if standing and all(getattr(standing, name) == value for name, value in said.items()):
                return standing
            cases.correct_outcome(case=case, outcome=outcome, proof=proof, words=words, user=user)
        else:
            cases.close_case(case=case, outcome=outcome, proof=proof, words=words, user=user)
        Outcome.objects.filter(case=case, stands=True).update(stands=False)
        row = Outcome(
            case=case, replaces=standing, cause=outcome, causes=causes, proof=proof, grade=cases.GRADES.get(proof),
            solved=_solved(outcome, done_by), done=storable(words).strip(), lesson=lesson, harm=harm,
            measured=dict(measured or {}), user=user, who=user.get_username(),
            **(_facts(case, standing) | _said_before(case, causes, proof)))
        row.save()
        _note_tests(row)
    return row


def _solved(outcome: str, done_by: str) -> str:
    if outcome == cases.NEVER_HEARD:
        return Outcome.Solved.NEVER_HEARD
    return Outcome.Solved.NOTHING_WRONG if outcome == NOTHING_WRONG else done_by or Outcome.Solved.REMOTE


def _check(causes: Sequence[str], done_by: str, lesson: str, measured: Mapping[str, float]) -> None:
    if len(causes) > MOST_CAUSES:
        raise Refused(f"{len(causes)} causes are ticked; {MOST_CAUSES} are the most.",
                      "Leave those that it was above all.")
    odd = next((name for name in causes[1:] if name not in BY_NAME), None)
    if odd is not None or (causes[0] == cases.NEVER_HEARD and len(causes) > 1):
        raise Refused("That cannot be a further cause.", "Tick causes from the list, or none.")
    if done_by and done_by not in WAYS:
        raise Refused("It is not said who did it.", "Pick the rider or a workshop.")
    if len(lesson) > LONGEST_LESSON:
        raise Refused(f"The lesson has {len(lesson)} characters; {LONGEST_LESSON} are the most.",
                      "Say it in a sentence.")
    bounds = {one.name: one for one in NUMBERS}
    for name, value in measured.items():
        if name not in bounds or not bounds[name].low <= value <= bounds[name].high:
            raise Refused("A measured number cannot be right.", "Look at the unit beside it.")


def _facts(case: Case, standing: Outcome | None) -> dict[str, Any]:
    document = case.rounds.order_by("number")[0].document
    return {
        "shop": case.shop, "fork_kind": case.fork_kind, "complaint": _first_symptom(document),
        "rounds": case.rounds.filter(handed_in_at__isnull=False).count() or 1, "first_answer": _first_answer(case),
        "closed_at": standing.closed_at if standing else timezone.now()}


def _first_symptom(document: Mapping[str, Any]) -> str:
    named = (document.get("complaint") or {}).get("symptoms") if isinstance(document.get("complaint"), dict) else None
    named = named.get("value") if isinstance(named, dict) else named
    first = named[0] if isinstance(named, list) and named else ""
    return first[:40] if isinstance(first, str) else ""


def _first_answer(case: Case) -> timedelta | None:
    """Return the time from the first hand-in to the first thing that a person of ours wrote."""
    came = case.events.filter(what="Handed in.").values_list("at", flat=True).first()
    wrote = case.events.filter(what__in=ANSWERS).values_list("at", flat=True).first()
    return wrote - came if came and wrote and wrote >= came else None


def told_first(case: Case) -> Draft | None:
    """Return what the rider was told first: the draft of the first approved letter, or the newest where none was.

    Later rounds look at a bike that was changed meanwhile; what they find is no prediction of the complaint's cause.
    """
    letter = Letter.objects.filter(round__case=case, approved_at__isnull=False).select_related("draft").order_by(
        "approved_at").first()
    return letter.draft if letter else Draft.objects.filter(round__case=case).order_by("id").last()


def _said_before(case: Case, causes: Sequence[str], proof: str) -> dict[str, Any]:
    draft = told_first(case)
    if draft is None:
        return {}
    findings, odds = draft.findings, odds_of(draft.findings)
    verdict = findings.get("engines_verdict") or findings.get("verdict") or {}
    judged = Judgement.objects.filter(round=draft.round, taken_back_at__isnull=True).order_by("id").last()
    lead, lead_odds = odds[0] if odds else ("", None)
    found = {"draft": draft, "odds": odds, "verdict": str(verdict.get("kind", ""))[:30], "lead": lead,
             "lead_odds": lead_odds, "predicted": foretold(findings), "judged": judged.cause if judged else ""}
    return found | _scores(odds, causes, proof, draft, found["judged"])


def _scores(odds: Sequence[tuple[str, float]], causes: Sequence[str], proof: str, draft: Draft, judged: str,
            ) -> dict[str, Any]:
    """Return whether we were right.  Nobody knows that of a case never heard of again."""
    if causes[0] == cases.NEVER_HEARD or not odds:
        return {}
    right: dict[str, Any] = {"lead_right": odds[0][0] in causes and proof != "disproved",
                             "judged_right": judged in causes if judged else None}
    if not any(name in causes for name, _ in odds):
        return right  # something that is no cause of the catalogue: no odds can be scored by it
    base = base_odds(odds, draft.rates.rates if draft.rates else None)
    return right | {"brier": brier(odds, causes), "brier_base": brier(base, causes)}


def _note_tests(row: Outcome) -> None:
    if row.draft is None or row.grade is None or row.cause not in BY_NAME:
        return
    WorthOfTest.objects.bulk_create([
        WorthOfTest(outcome=row, test=test, bits=bits, minutes=MINUTES[test])
        for test, bits in bits_by_test(row.draft.findings, row.cause).items()])
