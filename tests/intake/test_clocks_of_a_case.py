"""Two clocks in a round: ours stands still while the ball is with the rider, and what is due follows from it."""
from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
import time_machine

from intake import services
from intake.lanes import Lane, lane_of
from intake.models import Case
from intake.states import move, rank_anew
from tests.intake.queued import queued

pytestmark = pytest.mark.django_db
S = Case.State
START = datetime(2026, 3, 2, 8, tzinfo=UTC)


def at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def moved(case: Case, to: str, hours: float) -> Case:
    with time_machine.travel(at(hours), tick=False):
        assert move(case, to)
    return case


@pytest.fixture
def case():
    with time_machine.travel(START, tick=False):
        made = services.start_case(title="A bike that dives")
    return moved(made, S.HANDED_IN, 1)


def test_a_new_case_is_due_a_day_after_its_hand_in_and_drafting_changes_nothing(case):
    assert (case.due_at, lane_of(case.rank)) == (at(25), Lane.WAITING)
    moved(case, S.READY, 2)
    assert (case.due_at, case.turn_since) == (at(25), at(1))


def test_the_clock_stands_still_while_the_rider_looks_for_an_answer(case):
    moved(case, S.NEEDS_ANSWER, 11)
    assert (case.due_at, case.with_us, lane_of(case.rank)) == (None, timedelta(hours=10), Lane.RIDER)
    moved(case, S.HANDED_IN, 111)
    assert (case.returned, case.with_rider) == ("answer", timedelta(hours=101))
    assert (case.due_at, lane_of(case.rank)) == (at(111 + 14), Lane.RETURNED)


def test_who_has_used_the_day_up_is_overdue_as_soon_as_the_answer_comes(case):
    moved(case, S.NEEDS_ANSWER, 31)
    moved(case, S.HANDED_IN, 40)
    assert case.due_at == at(40 - 6) and lane_of(case.rank) == Lane.OVERDUE


def test_a_next_round_starts_both_clocks_anew_and_has_two_days(case):
    moved(case, S.READY, 2)
    moved(case, S.ADVISED, 20)
    with time_machine.travel(at(200), tick=False):
        services.open_next_round(case=case, who="rider")
    assert (case.with_us, case.with_rider, case.returned) == (timedelta(), timedelta(), "")
    moved(case, S.HANDED_IN, 300)
    assert (case.returned, case.due_at, lane_of(case.rank)) == ("next round", at(348), Lane.RETURNED)


def test_a_stop_sign_shortens_the_time_to_an_hour_and_comes_first(case):
    with time_machine.travel(at(1.5), tick=False):
        move(case, S.WORKSHOP_ONLY)
        rank_anew(case, stop=True)
    assert (case.due_at, lane_of(case.rank)) == (at(2), Lane.STOP)


def test_a_shop_waits_two_hours_at_most(shop):
    with time_machine.travel(START, tick=False):
        case = services.start_case(shop=shop.shop, shop_job="W-1")
    assert moved(case, S.HANDED_IN, 0).due_at == at(2)


def test_a_closed_case_is_never_due(case):
    moved(case, S.CLOSED, 9)
    assert (case.due_at, lane_of(case.rank), case.with_us) == (None, Lane.ENDED, timedelta(hours=8))


def test_an_assessment_of_an_advised_case_leaves_its_place():
    case = queued(since=START, state=S.ADVISED)
    rank_anew(case, stop=True)
    assert queued(since=START, state=S.ADVISED).rank == case.rank
