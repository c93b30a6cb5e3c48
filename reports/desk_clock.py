"""How long a case has been with whom, and why it stands where it does in the queue, in words."""
from __future__ import annotations

from datetime import datetime, timedelta

from intake.clock import OURS, speaks_of_danger, target
from intake.models import Case
from reports.desk_pages import age_words

AMBER = 0.75
"""Share of our time from which a case is said to be due soon.  Common practice, no source."""
NOTHING, WORTH_SAYING = timedelta(), timedelta(hours=1)


def spent(case: Case, now: datetime) -> tuple[timedelta, timedelta]:
    """Return how long this round has been with us and with the rider; one of the two clocks stands still."""
    turn = max(NOTHING, now - case.turn_since)
    if case.state in OURS:
        return case.with_us + turn, case.with_rider
    return case.with_us, case.with_rider + turn


def clocks(case: Case, now: datetime) -> tuple[str, str]:
    """Return the clock that runs, against its target where it is ours, and the one that stands still, or ''."""
    us, rider = spent(case, now)
    with_us, with_rider = f"{_span(us)} with us", f"{_span(rider)} with the rider"
    if case.state in OURS:
        ours = f"{_span(us)} of {_span(target(case))} with us"
        return ours, with_rider if rider >= WORTH_SAYING else ""
    return with_rider, with_us if us >= WORTH_SAYING else ""


def reasons(case: Case, now: datetime) -> list[str]:
    """Return why a case stands where it stands, the weightiest first; nothing where nobody waits for us."""
    if case.state not in OURS:
        return []
    said = ["red flag"] if case.stop else ["words of danger"] if speaks_of_danger(case.summary) else []
    said += [_due(case, now)]
    said += [{"answer": "the rider answered", "next round": "tried, and wrote back"}.get(case.returned, "")]
    said += ["a shop waits"] if case.shop_id else []
    return [words for words in said if words]


def is_overdue(case: Case, now: datetime) -> bool:
    """Tell whether our time for the case is up."""
    return case.state in OURS and case.due_at is not None and case.due_at < now


def _due(case: Case, now: datetime) -> str:
    if case.due_at is None:
        return ""
    if case.due_at < now:
        return f"overdue by {_span(now - case.due_at)}"
    soon = spent(case, now)[0] >= target(case) * AMBER
    return f"due in {_span(case.due_at - now)}" if soon else ""


def _span(length: timedelta) -> str:
    moment = datetime(2000, 1, 1)
    return age_words(moment, moment + length)
