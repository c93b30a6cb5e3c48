"""Versions of the base rates: proposed from confirmed cases, made to count by a tuner, taken back; never changed."""
from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import Permission
from django.db.models import Q
from django.utils import timezone

from analysis.base_rates import Seen, updated_rates
from analysis.causes import BY_NAME
from intake.errors import Refused
from intake.models import Round
from intake.search import AIR
from intake.services import TEACHES
from reports.models import BaseRates, Draft, Outcome

LEAD = "reports.lead_tuner"
"""What somebody who leads the tuners is allowed."""
MOST_CASES = 20_000
"""The newest confirmed cases that a proposal rests on: bounded, whatever is on file."""


@dataclass(frozen=True)
class Proposal:
    """Rates that follow from the confirmed cases on file."""

    rates: dict[str, float]
    counted: dict[str, int]
    cases: int


def current_rates() -> BaseRates | None:
    """Return the version that counts now; None: the rates that the engine starts with."""
    return BaseRates.objects.filter(taken_back_at__isnull=True).order_by("-id").first()


def rates_for(*, round: Round) -> BaseRates | None:
    """Return the version that a draft of these answers is made with.

    Answers that have a draft keep its version, whatever was made to count since: an old case is never changed.
    """
    earlier = Draft.objects.filter(round=round, revision=round.revision).select_related("rates").order_by("id").first()
    return earlier.rates if earlier else current_rates()


def proposed_rates() -> Proposal:
    """Return the rates that follow from every outcome that was seen or measured again, from the starting rates on."""
    seen = _seen()
    counted = Counter(name for case in seen for name in case.causes)
    return Proposal(updated_rates(seen), dict(counted), len(seen))


def _seen() -> Sequence[Seen]:
    rows = Outcome.objects.filter(stands=True, grade__lte=TEACHES, cause__in=list(BY_NAME))
    newest = rows.order_by("-id").values_list("causes", "fork_kind")[:MOST_CASES]
    return [Seen(tuple(name for name in causes if name in BY_NAME), *springing_and_damper(kind))
            for causes, kind in newest]


def springing_and_damper(fork_kind: str) -> tuple[str, str]:
    """Return what the engine asks of a fork, from the kind that a case is filed under."""
    return ("air", "") if fork_kind == AIR else ("", fork_kind)


def may_decide(user: AbstractBaseUser) -> bool:
    """Tell whether a tuner may make rates count or take them back: whoever leads; everybody where nobody does."""
    if user.has_perm(LEAD):  # type: ignore[attr-defined]
        return True
    room, name = LEAD.split(".")
    held = Permission.objects.filter(codename=name, content_type__app_label=room)
    return not held.filter(Q(user__is_active=True) | Q(group__user__is_active=True)).exists()


def _refuse_others(user: AbstractBaseUser) -> None:
    if not may_decide(user):
        raise Refused("Base rates change every new draft.", "Ask whoever leads the tuners to decide it.")


def make_rates_count(*, user: AbstractBaseUser, cases: int, current: int | None) -> BaseRates:
    """Store the proposed rates as a version and let new drafts be made with it.

    ``cases`` and ``current`` are what the preview showed: the number of cases, and the id of the version that counted.
    The same click twice changes nothing.  Refused where either has moved on, for nobody has seen that preview.
    """
    _refuse_others(user)
    now, proposal = current_rates(), proposed_rates()
    if now and now.rates == proposal.rates:
        return now
    if proposal.cases != cases or (now.pk if now else None) != current:
        raise Refused("Cases or rates have changed since you looked.", "Look at the preview again, then decide.")
    if not proposal.cases:
        raise Refused("No confirmed case is on file yet.", "Close cases with what was seen or measured first.")
    last = BaseRates.objects.order_by("-number").values_list("number", flat=True).first() or 0
    return BaseRates.objects.get_or_create(number=last + 1, defaults={
        "rates": proposal.rates, "counted": proposal.counted, "cases": proposal.cases, "user": user,
        "who": user.get_username()})[0]


def take_back_rates(*, version: int, user: AbstractBaseUser) -> bool:
    """Let the version before count again, or the starting rates; the version stays on file.  False: it was so."""
    _refuse_others(user)
    return BaseRates.objects.filter(pk=version, taken_back_at__isnull=True).update(
        taken_back_at=timezone.now(), taken_back_by=user.get_username()) == 1
