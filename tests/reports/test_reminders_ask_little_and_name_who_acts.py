"""Finding who is to be reminded takes as many questions for many cases as for one, and is never the rider's act."""
from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from intake import services as cases
from intake.models import Event
from reports import services, sweeper
from reports.due_reminders import to_remind
from reports.models import Reminder

pytestmark = pytest.mark.django_db
START = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def queries(now: datetime) -> tuple[int, int]:
    with CaptureQueriesContext(connection) as asked:
        found = [(round.case.number, step) for round, step in to_remind(now)]
    return len(asked), len(found)


def test_many_cases_are_found_with_as_many_queries_as_one() -> None:
    with time_machine.travel(START, tick=False) as clock:
        cases.start_case(rider_email="one@riders.example", title="One")
        clock.shift(timedelta(days=4))
        one = queries(datetime.now(UTC))
        clock.move_to(START)
        for number in range(6):
            cases.start_case(rider_email=f"{number}@riders.example", title="More")
        clock.shift(timedelta(days=4))
        many = queries(datetime.now(UTC))
    assert (one[1], many[1]) == (1, 7) and one[0] == many[0]


def test_the_link_in_a_reminder_is_the_workers_and_no_sign_of_life_from_the_rider() -> None:
    with time_machine.travel(START, tick=False) as clock:
        case = cases.start_case(rider_email="one@riders.example", title="One")
        clock.shift(timedelta(days=4))
        sweeper.sweep()
        services.remind(reminder_id=Reminder.objects.get(state="queued").pk, worker="worker")
    made = Event.objects.filter(case=case, what="Private link made.").latest("id")
    assert made.who == "worker"
