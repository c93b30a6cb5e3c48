"""One row of the queue: what a tuner must see of a case in one second."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.safestring import SafeString

from intake.models import Case, Round, WorkOrder
from reports.desk_case import ruler
from reports.desk_pages import CauseBar, age_words, cause_bar
from reports.models import Delivery

WITH_RIDER = (Case.State.COLLECTING, Case.State.NEEDS_ANSWER, Case.State.ADVISED)
"""In these states the ball is not with us."""
RUNAWAY = 0.95
"""From here on the second cause is noise in a queue."""
MAIL_TROUBLE: dict[str | None, str] = {
    None: "approved, but not sent yet", Delivery.State.FAILED: "letter not delivered",
    Delivery.State.UNKNOWN: "unclear whether the letter arrived",
}


@dataclass(frozen=True)
class Row:
    """A case as the queue shows it."""

    number: str
    title: str
    state: str
    age: str
    with_rider: bool
    stop: bool
    who: str
    round: int
    lead: CauseBar | None
    second: str
    words: str
    """What is said where no cause leads: what is still open, the stop sign, or that the draft is on its way."""
    missing: int
    disagreements: int
    next_test: str
    ruler: SafeString
    parked: str
    mail: str
    quiet: bool
    """Its rider has not answered for weeks, reminders and all."""


@dataclass(frozen=True)
class Newest:
    """What the queue needs of a case's newest round."""

    number: int = 1
    parked: str = ""
    mail: str = ""


def rows(cases: Sequence[Case], now: datetime) -> list[Row]:
    """Return the rows for ``cases`` in their order; one more query whatever their number."""
    newest = _newest_rounds(cases)
    return [_row(case, newest.get(case.pk, Newest()), now) for case in cases]


def _newest_rounds(cases: Sequence[Case]) -> dict[int, Newest]:
    """Map each case to its newest round: later rounds, and later deliveries of one round, come last and stand."""
    lines = Round.objects.filter(case__in=cases).order_by("number", "letter__deliveries__id").values_list(
        "case", "number", "work_order__state", "work_order__reason", "letter__approved_at", "letter__deliveries__state")
    found: dict[int, Newest] = {}
    for case, number, work, reason, approved, delivery in lines:
        before = found.get(case)
        mail = MAIL_TROUBLE.get(delivery, "") if approved else ""
        if not mail and before and before.number == number:
            mail = before.mail
        parked = (reason or "It failed three times.") if work == WorkOrder.State.PARKED else ""
        found[case] = Newest(number, parked, mail)
    return found


def _row(case: Case, newest: Newest, now: datetime) -> Row:
    summary: Mapping[str, Any] = case.summary or {}
    lead = _lead(summary)
    return Row(
        number=case.number, title=case.title or "No title yet", state=case.get_state_display(),
        age=age_words(case.state_since, now), with_rider=case.state in WITH_RIDER, stop=case.stop, who=_who(case),
        round=newest.number, lead=lead, second=_second(summary),
        words=str(summary.get("verdict") or _waiting(case, newest)),
        missing=summary.get("missing") or 0, disagreements=summary.get("disagreements") or 0,
        next_test="" if case.stop else str(summary.get("next_test") or ""),
        ruler=ruler(summary.get("marks"), "small", advised=not case.stop),
        parked=newest.parked, mail=newest.mail, quiet=case.quiet_since is not None,
    )


def _waiting(case: Case, newest: Newest) -> str:
    return "Being drafted" if case.state == Case.State.HANDED_IN and not newest.parked else ""


def _lead(summary: Mapping[str, Any]) -> CauseBar | None:
    """Return the leading cause where the assessment names one; 'cannot tell yet' has none."""
    if summary.get("kind") != "cause" or not summary.get("cause") or summary.get("probability") is None:
        return None
    return cause_bar(summary["cause"], summary["probability"])


def _second(summary: Mapping[str, Any]) -> str:
    """Return the runner-up where the leader leaves it room."""
    return str(summary.get("second") or "") if (summary.get("probability") or 0) < RUNAWAY else ""


def _who(case: Case) -> str:
    if case.shop is None:
        return case.rider_name or "A rider"
    return f"{case.shop.name}, job {case.shop_job}" if case.shop_job else case.shop.name
