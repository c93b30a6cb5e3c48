"""When is a reminder due: which step by the days that have gone by, and whether it is day where the rider is."""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce, Greatest
from django.utils import timezone

from intake.events import RIDER, RIDER_ACTS
from intake.models import Case, Event, Round
from reports.models import Reminder

S, Step = Case.State, Reminder.Step
OWES = (S.COLLECTING, S.NEEDS_ANSWER)
DAY_BEGINS, DAY_ENDS = 9, 19
"""Hours of the rider's own clock between which a mail may come."""
QUIET_AFTER, LONG_PAST = 35, 60
"""Days.  After the first nobody waits any more; what is older than the second was left alone long ago."""


@dataclass(frozen=True)
class Plan:
    """One step: in which states, and from which day to which; later than that the next step has taken its place."""

    step: Reminder.Step
    states: tuple[str, ...]
    first: int
    until: int


PLANS = (
    Plan(Step.GENTLE, OWES, 3, 7), Plan(Step.ONE_ASK, OWES, 7, 21), Plan(Step.LAST, OWES, 21, QUIET_AFTER),
    Plan(Step.HOW_IT_GOES, (S.ADVISED,), 7, 21), Plan(Step.HOW_IT_WENT, (S.ADVISED,), 21, QUIET_AFTER),
)
"""Common practice, no source."""


def to_remind(now: datetime) -> Iterator[tuple[Round, Reminder.Step]]:
    """Yield the newest rounds whose rider is to be reminded now, each with its step; one query a step."""
    for plan in PLANS:
        cases = _waiting(plan.states, plan.first, plan.until, now).exclude(rider_email="").filter(no_reminders=False)
        done = Reminder.objects.filter(round=OuterRef("newest"), step=plan.step)
        newest = Round.objects.filter(pk__in=cases.filter(~Exists(done)).values("newest"))
        for round in newest.select_related("case").iterator():
            if is_day(round.case, now):
                yield round, plan.step


def to_leave_alone(now: datetime) -> QuerySet[Case]:
    """Return the cases that have heard nothing from their rider for so long that they are quiet."""
    return _waiting((*OWES, S.ADVISED), QUIET_AFTER, LONG_PAST, now)


def still_due(reminder: Reminder, now: datetime) -> bool:
    """Tell whether a reminder that was queued is still wanted: nothing came, nothing ended, it was not stopped.

    Nor has the next step's time come: after a night, or a day without a worker, two mails would come at once.
    """
    plan = next(plan for plan in PLANS if plan.step == reminder.step)
    waiting = _waiting(plan.states, plan.first, plan.until, now).exclude(rider_email="").filter(no_reminders=False)
    return waiting.filter(newest=reminder.round_id).exists()


def is_day(case: Case, now: datetime) -> bool:
    """Tell whether it is a civil hour where the rider lives; where nobody knows, the tuners' clock counts."""
    return DAY_BEGINS <= now.astimezone(_zone(case)).hour < DAY_ENDS


def _zone(case: Case) -> ZoneInfo:
    try:
        return ZoneInfo(case.rider_time_zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):  # blank, made up, or one that this machine does not know
        return ZoneInfo(timezone.get_default_timezone_name())


def _waiting(states: tuple[str, ...], first: int, until: int, now: datetime) -> QuerySet[Case]:
    """Return cases that have waited for their rider from ``first`` to ``until`` days; each act starts them anew."""
    acts = Event.objects.filter(case=OuterRef("pk"), who=RIDER, what__in=RIDER_ACTS).order_by("-id").values("at")[:1]
    newest = Round.objects.filter(case=OuterRef("pk")).order_by("-number").values("pk")[:1]
    waits = Case.objects.filter(state__in=states, state_since__lte=now - timedelta(days=first), quiet_since=None)
    return waits.annotate(
        newest=Subquery(newest), since=Greatest(F("state_since"), Coalesce(Subquery(acts), F("state_since"))),
    ).filter(since__lte=now - timedelta(days=first), since__gt=now - timedelta(days=until))
