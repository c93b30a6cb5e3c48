"""The queue: stop signs first, then whoever waits longest, page by page without a gap."""
from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection

from intake.errors import Refused
from intake.models import Case
from intake.queue import OURS, _in_state, queue_page

pytestmark = pytest.mark.django_db
START = datetime(2026, 1, 1, tzinfo=UTC)
S = Case.State


def waiting(minutes: int, *, stop: bool = False, state: str = S.READY, **fields: str) -> Case:
    case = Case.objects.create(state=state, stop=stop, **fields)
    Case.objects.filter(pk=case.pk).update(state_since=START + timedelta(minutes=minutes))
    return Case.objects.get(pk=case.pk)


def all_pages(size: int, **wanted: str) -> list[Case]:
    found, after = [], ""
    for _ in range(100):
        page = queue_page(after=after, size=size, **wanted)
        found += page.cases
        after = page.after
        if not after:
            return found
    raise AssertionError("the queue has no end")


def test_stop_signs_come_first_then_the_oldest():
    late, early = waiting(9), waiting(1)
    stop_late, stop_early = waiting(8, stop=True, state=S.WORKSHOP_ONLY), waiting(2, stop=True, state=S.WORKSHOP_ONLY)
    assert queue_page().cases == [stop_early, stop_late, early, late]


@pytest.mark.parametrize("size", [1, 2, 3, 7, 50])
def test_pages_of_any_size_show_every_case_once_and_in_order(size):
    cases = [waiting(n // 3, stop=n % 5 == 0, state=OURS[n % 3]) for n in range(25)]
    expected = sorted(cases, key=lambda c: (not c.stop, c.state_since, c.pk))
    assert all_pages(size) == expected
    assert all_pages(size, state=S.READY) == [case for case in expected if case.state == S.READY]


def test_cases_that_wait_for_the_rider_or_have_ended_are_shown_only_when_asked_for():
    asked, closed = waiting(1, state=S.NEEDS_ANSWER), waiting(2, state=S.CLOSED)
    assert queue_page().cases == []
    assert queue_page(state=S.NEEDS_ANSWER).cases == [asked]
    assert queue_page(state=S.CLOSED).cases == [closed]


def test_a_case_is_found_by_number_job_and_words_in_any_state(shop):
    case = waiting(1, state=S.CLOSED, title="Red tourer: 100% stiff", shop_job="W-77", shop=shop.shop)
    waiting(2, title="Blue enduro")
    for words in (case.number.lower(), " w-77 ", "TOURER", "100%"):
        assert queue_page(search=words).cases == [case]
    assert queue_page(search="100_").cases == []
    assert queue_page(search="tourer", state=S.READY).cases == []


@pytest.mark.parametrize("count", [3, 30])
def test_the_number_of_queries_does_not_grow_with_the_queue(count, django_assert_num_queries, shop):
    for n in range(count):
        waiting(n, shop=shop.shop)
    with django_assert_num_queries(3):
        assert len([case.shop.name for case in queue_page().cases]) == count


@pytest.mark.parametrize("after", ["x", "1", "1__", "0_0001-01-01T00:00:00+23:00_1", "0_9999-12-31T23:00:00-23:00_1",
                                   "2_2026-01-01T00:00:00+00:00_1", "1_2026-13-01T00:00:00+00:00_1",
                                   "1_2026-01-01T00:00:00_1", "1_2026-01-01T00:00:00+00:00_x"])
def test_a_mark_that_the_queue_never_gave_is_refused(after):
    with pytest.raises(Refused, match="beginning"):
        queue_page(after=after)


def test_a_state_that_does_not_exist_is_refused():
    with pytest.raises(Refused, match="list"):
        queue_page(state="lost")


@pytest.mark.parametrize("stop", [True, False])
def test_any_page_is_read_from_the_index_in_its_order_without_sorting(stop):
    if connection.vendor != "sqlite":
        pytest.skip("a server chooses its plan by the size of the table")
    later = _in_state(S.READY, "", (stop, START, 1), 50)
    plan = later.explain()
    assert "queue_order_by_state" in plan and "TEMP B-TREE" not in plan
