"""What a case is compared with others by, and the solved cases that are most like it."""
from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet

from intake.models import Case
from intake.paths import at_path
from intake.services import outcomes
from intake.services.closing import NEVER_HEARD, PROOFS, SOMETHING_ELSE
from reports.tuner_models import CaseFigures

NEAREST, LOOKED_AT = 6, 300
"""So many are shown, and so many of the newest in the window are measured."""
WINDOW = {"spare": 0.30, "sag": 0.08}
SCALES = {"spare": 0.10, "sag": 0.04, "friction_n": 50.0, "lead_odds": 0.30}
"""A difference as large as this counts as one: about what a careful measurement can tell apart; common practice."""
ANOTHER_LEAD = 1.0
"""What it counts when the engine leant towards another cause."""
FAR = 2.0
"""Beyond this mean distance a case is not like this one."""
ENOUGH = 10
"""With fewer cases a percentage says more than is known."""


def note_figures(*, case: Case, findings: Mapping[str, Any], document: Mapping[str, Any]) -> None:
    """Write what the case is compared by; the same again changes nothing."""
    CaseFigures.objects.update_or_create(case=case, defaults=figures_for(findings, document))


def figures_for(findings: Mapping[str, Any], document: Mapping[str, Any]) -> dict[str, Any]:
    """Return the columns of ``CaseFigures`` from what the engine found."""
    lead: Mapping[str, Any] = next(iter(findings.get("causes") or ()), {})
    sag = findings.get("sag") or {}
    return {
        "bike_kind": _said(document, "bike.kind"), "fork_kind": _said(document, "fork.damper"),
        "spare": _spare(findings.get("fork") or {}), "sag": sag.get("rider_share"), "friction_n": sag.get("friction_n"),
        "lead": lead.get("name", "")[:40], "lead_odds": lead.get("probability")}


def _said(document: Mapping[str, Any], path: str) -> str:
    there, raw = at_path(document, path)
    value = raw.get("value") if isinstance(raw, Mapping) else raw
    return value[:20] if there and isinstance(value, str) else ""


def _spare(fork: Mapping[str, Any]) -> float | None:
    """V_c / (A_s S) of the fuller leg: A_s S is what the air loses over the whole stroke."""
    found = []
    for leg in (fork.get("left") or {}, fork.get("right") or {}):
        left, whole = leg.get("air_volume_compressed_ml"), leg.get("air_volume_extended_ml")
        if left is not None and whole is not None and whole > left:
            found.append(left / (whole - left))
    return min(found) if found else None


@dataclass(frozen=True)
class Likeness:
    """A solved case: what it was in the end, how that was proven, and how far its numbers lie from this one's."""

    case: Case
    was: str
    proven: str
    distance: float

    @property
    def how_near(self) -> str:
        """The distance in words."""
        return "very near" if self.distance < 0.6 else "near" if self.distance < 1.2 else "somewhat like it"


def nearest(case: Case) -> list[Likeness]:
    """Return every solved case whose numbers are like this case's, nearest first: one bounded query."""
    own = CaseFigures.objects.filter(case=case).first()
    if own is None:
        return []
    measured = [(distance, other) for other in _candidates(own) if (distance := apart(own, other)) is not None]
    measured.sort(key=lambda pair: (pair[0], -pair[1].case_id))
    return [_solved(other.case, distance) for distance, other in measured if distance <= FAR]


def _candidates(own: CaseFigures) -> Sequence[CaseFigures]:
    """The newest solved cases inside a window on the first number that is known; the window is a matter of an index."""
    known = next((name for name in WINDOW if getattr(own, name) is not None), None)
    if known is None:
        return []
    at, by = getattr(own, known), WINDOW[known]
    solved = CaseFigures.objects.filter(_is_solved("case__"), **{f"{known}__range": (at - by, at + by)})
    return list(solved.exclude(case=own.case_id).select_related("case").order_by("-case")[:LOOKED_AT])


def _is_solved(prefix: str = "") -> Q:
    closed = Q(**{f"{prefix}state": Case.State.CLOSED})
    return closed & ~Q(**{f"{prefix}outcome__in": ("", NEVER_HEARD)})


def apart(one: CaseFigures, other: CaseFigures) -> float | None:
    """Return the scaled distance over the numbers that both have, root of the mean square; None with fewer than two."""
    squares = [((getattr(one, name) - getattr(other, name)) / scale) ** 2 for name, scale in SCALES.items()
               if getattr(one, name) is not None and getattr(other, name) is not None]
    if len(squares) < 2:
        return None
    if one.lead and other.lead:
        squares.append(0.0 if one.lead == other.lead else ANOTHER_LEAD)
    return math.sqrt(sum(squares) / len(squares))


def _solved(case: Case, distance: float = 0.0) -> Likeness:
    return Likeness(case, outcomes().get(case.outcome, case.outcome),
                    PROOFS.get(case.outcome_proof, case.outcome_proof), distance)


def in_short(found: Sequence[Likeness]) -> str:
    """Return '5 of 6 like this: …'; a percentage only from ten on."""
    known = [one for one in found if one.case.outcome != SOMETHING_ELSE]
    if not known:
        return ""
    (was, count), *_ = Counter(one.was for one in known).most_common(1)
    share = f", {100 * count / len(found):.0f} %" if len(found) >= ENOUGH else ""
    return f"{count} of {len(found)} like this: {was[0].lower()}{was[1:]}{share}"


def like_context(case: Case) -> dict[str, Any]:
    """Return what the case page shows of earlier cases."""
    alike, same_kind = nearest(case), of_the_same_kind(case)
    return {"alike": alike[:NEAREST], "alike_words": in_short(alike), "same_kind": same_kind,
            "same_kind_words": in_short(same_kind), "same_rider": of_the_same_rider(case)}


def of_the_same_rider(case: Case) -> QuerySet[Case]:
    """Return the rider's other cases, newest first: the same e-mail address."""
    if not case.rider_email:
        return Case.objects.none()
    return Case.objects.filter(rider_email__iexact=case.rider_email).exclude(pk=case.pk).order_by("-pk")[:NEAREST]


def of_the_same_kind(case: Case) -> list[Likeness]:
    """Return the newest solved cases with the same kind of bike and of fork."""
    own = CaseFigures.objects.filter(case=case).exclude(bike_kind="").exclude(fork_kind="").first()
    if own is None:
        return []
    alike = CaseFigures.objects.filter(_is_solved("case__"), bike_kind=own.bike_kind, fork_kind=own.fork_kind)
    return [_solved(one.case) for one in
            alike.exclude(case=case).select_related("case").order_by("-case")[:NEAREST]]
