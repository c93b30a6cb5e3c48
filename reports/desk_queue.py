"""One row of the queue: what a tuner must see of a case in one second."""
from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any, NamedTuple

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.db.models import OuterRef, Subquery
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from intake.clock import OURS
from intake.models import Case, Round, WorkOrder
from intake.queue import PAGE
from intake.services import holder_of
from intake.wanted import STATES
from reports.desk_case import ruler
from reports.desk_clock import clocks, is_overdue, reasons
from reports.desk_pages import CauseBar, cause_bar
from reports.models import Delivery, Fee
from reports.worded import answers, worded

ROWS_KEPT = 1000
"""Rows that are kept drawn: drawing one costs more than all else about it, and a queue is looked at again and again."""
LANGUAGES = {code: name for code, name in settings.LANGUAGES if code != "en"}
RUNAWAY = 0.95
"""From here on the second cause is noise in a queue."""
MAIL_TROUBLE: dict[str | None, str] = {
    None: "approved, but not sent yet", Delivery.State.FAILED: "letter not delivered",
    Delivery.State.UNKNOWN: "unclear whether the letter arrived",
}


class Row(NamedTuple):
    """A case as the queue shows it; a tuple, since fifty of them are made and compared on each page."""

    number: str
    title: str
    state: str
    clock: str
    """The time that runs: with us, against its target, or with the rider."""
    other_clock: str
    reasons: tuple[str, ...]
    """Why it stands where it stands."""
    overdue: bool
    stop: bool
    who: str
    holder: str
    """Who has it at this moment, or blank."""
    mine: bool
    """Its holder is who looks."""
    last_holder: str
    """Who had it last, where nobody has it now."""
    language: str
    """The rider's, where it is not English."""
    round: int
    lead: CauseBar | None
    second: str
    judged: str
    """A tuner's own leading cause, and whose judgement it is."""
    words: str
    """What is said where no cause leads: what is still open, the stop sign, or that the draft is on its way."""
    missing: int
    lacks: str
    """What is missing, the first two by name."""
    spoken: str
    """Dangers that the rider's own words speak of and the safety page does not tell."""
    disagreements: int
    next_test: str
    ruler: SafeString
    parked: str
    mail: str
    fee: str
    """Where the fee stands; blank without one, and in a case that stops a ride."""
    quiet: bool
    """Its rider has not answered for weeks, reminders and all."""


def drawn(shown: Sequence[Row], ticked: bool) -> SafeString:
    """Return the rows as they stand on the page, their boxes ticked or not; a row that says the same is drawn once."""
    return mark_safe("".join(_html(row, ticked) for row in shown))


@lru_cache(maxsize=ROWS_KEPT)
def _html(row: Row, ticked: bool) -> SafeString:
    return render_to_string("reports/desk/row.html", {"row": row, "ticked": ticked})


_bar = lru_cache(maxsize=ROWS_KEPT)(cause_bar)


@lru_cache(maxsize=ROWS_KEPT)
def _ruler(marks: str, stop: bool) -> SafeString:
    return ruler(json.loads(marks), "small", advised=not stop)


@dataclass(frozen=True)
class Newest:
    """What the queue needs of a case's newest round."""

    number: int = 1
    parked: str = ""
    mail: str = ""
    fee: str = ""


def forget_drawn_rows() -> None:
    """Draw every row anew from now on."""
    _html.cache_clear()
    _ruler.cache_clear()


def rows(cases: Sequence[Case], now: datetime, user: AbstractBaseUser) -> list[Row]:
    """Return the rows for ``cases`` in their order, as ``user`` sees them; one more query whatever their number."""
    newest = _newest_rounds(cases) if cases else {}
    return [_row(case, newest.get(case.pk, Newest()), now, user) for case in cases]


def _newest_rounds(cases: Sequence[Case]) -> dict[int, Newest]:
    """Map each case to its newest round: later rounds, and later deliveries of one round, come last and stand."""
    found: dict[int, Newest] = {}
    keys = tuple(case.pk for case in cases)
    for case, number, work, reason, approved, delivery, fee_state in answers(_rounds_of(len(keys)), keys):
        before = found.get(case)
        mail = MAIL_TROUBLE.get(delivery, "") if approved else ""
        if not mail and before and before.number == number:
            mail = before.mail
        parked = (reason or "It failed three times.") if work == WorkOrder.State.PARKED else ""
        found[case] = Newest(number, parked, mail, f"fee {fee_state}" if fee_state else "")
    return found


@lru_cache(maxsize=PAGE + 1)
def _rounds_of(count: int) -> str:
    """Return the query for so many cases; its parameters are their keys and nothing else."""
    fee = Fee.objects.filter(case=OuterRef("case")).order_by("-id").values("state")[:1]
    return worded(
        Round.objects.filter(case__in=range(count)).order_by("number", "letters__deliveries__id").values_list(
            "case", "number", "work_order__state", "work_order__reason", "letters__approved_at",
            "letters__deliveries__state", Subquery(fee)))[0]


def _row(case: Case, newest: Newest, now: datetime, user: AbstractBaseUser) -> Row:
    summary: Mapping[str, Any] = case.summary or {}
    clock, other_clock = clocks(case, now)
    holder = holder_of(case, now)
    last = case.holder if case.holder_id and holder is None and case.state in OURS else None
    return Row(
        number=case.number, title=case.title or "No title yet", state=STATES[case.state],
        clock=clock, other_clock=other_clock, reasons=tuple(reasons(case, now)), overdue=is_overdue(case, now),
        stop=case.stop, who=_who(case), holder=holder.get_username() if holder else "",
        mine=holder is not None and holder.pk == user.pk, last_holder=last.get_username() if last else "",
        language=LANGUAGES.get(case.language, ""),
        round=newest.number, lead=_lead(summary), second=_second(summary),
        judged=_judged(summary),
        words=str(summary.get("verdict") or _waiting(case, newest)),
        missing=summary.get("missing") or 0, lacks=", ".join(summary.get("lacks") or ()),
        spoken=", ".join(summary.get("spoken") or ()),
        disagreements=summary.get("disagreements") or 0,
        next_test="" if case.stop else str(summary.get("next_test") or ""),
        ruler=_ruler(json.dumps(summary.get("marks")), case.stop),
        parked=newest.parked, mail=newest.mail, fee="" if case.stop else newest.fee, quiet=case.quiet_since is not None,
    )


def _waiting(case: Case, newest: Newest) -> str:
    return "Being drafted" if case.state == Case.State.HANDED_IN and not newest.parked else ""


def _lead(summary: Mapping[str, Any]) -> CauseBar | None:
    """Return the leading cause where the assessment names one; 'cannot tell yet' has none."""
    if summary.get("kind") != "cause" or not summary.get("cause") or summary.get("probability") is None:
        return None
    return _bar(summary["cause"], summary["probability"])


def _judged(summary: Mapping[str, Any]) -> str:
    judgement = summary.get("judgement")
    return f"{judgement['who']} holds: {judgement['title']}" if judgement else ""


def _second(summary: Mapping[str, Any]) -> str:
    """Return the runner-up where the leader leaves it room."""
    return str(summary.get("second") or "") if (summary.get("probability") or 0) < RUNAWAY else ""


def _who(case: Case) -> str:
    if case.shop is None:
        return case.rider_name or "A rider"
    return f"{case.shop.name}, job {case.shop_job}" if case.shop_job else case.shop.name
