"""The queue: stop signs, then what is overdue, then what came back, then the rest; page by page without a gap."""
from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.utils import timezone

from intake.clock import OURS, call_overdue
from intake.errors import Refused
from intake.lanes import Lane, lane_of
from intake.models import Case
from intake.queue import narrowed, queue_page
from intake.states import rank_anew
from intake.wanted import Wanted
from tests.intake.queued import queued

pytestmark = pytest.mark.django_db
S = Case.State


def waiting(hours: float, **fields: object) -> Case:
    return queued(since=timezone.now() - timedelta(hours=hours), **fields)


def all_pages(size: int, **wanted: str) -> list[Case]:
    found, after = [], ""
    for _ in range(100):
        page = queue_page(Wanted(**wanted), after=after, size=size)
        found += page.cases
        after = page.after
        if not after:
            return found
    raise AssertionError("the queue has no end")


def test_red_flags_then_overdue_then_what_came_back_then_the_rest():
    young, old = waiting(1), waiting(20)
    answered, tried = waiting(2, returned="answer"), waiting(2, returned="next round", round=2)
    late = waiting(30)
    stopped = waiting(0.1, stop=True, state=S.WORKSHOP_ONLY)
    assert queue_page().cases == [stopped, late, answered, tried, old, young]


def test_words_that_speak_of_a_danger_come_right_behind_the_red_flags_and_are_due_as_soon():
    late, stopped = waiting(30), waiting(0.1, stop=True, state=S.WORKSHOP_ONLY)
    old, spoken = waiting(20), waiting(0.2, summary={"spoken": ["weak brake"]})
    assert queue_page().cases == [stopped, late, spoken, old]
    assert spoken.due_at - spoken.turn_since == stopped.due_at - stopped.turn_since
    rank_anew(spoken, summary={})
    assert queue_page().cases == [stopped, late, old, spoken]


def test_a_shops_case_is_due_sooner_and_comes_first_among_equals(shop):
    riders, shops = waiting(1), waiting(0.5, shop=shop.shop)
    assert queue_page().cases == [shops, riders]


def test_what_becomes_overdue_moves_up_with_the_next_sweep_and_not_twice():
    waiting_case, answered = waiting(23.9), waiting(23.95, returned="answer")
    for case in (waiting_case, answered):  # as it was written at the time, and 24 hours have gone by since
        Case.objects.filter(pk=case.pk).update(rank=case.rank - 3600 * 10**6)
    stopped = waiting(5, stop=True)
    assert [call_overdue(), call_overdue()] == [2, 0]
    assert [lane_of(case.rank) for case in queue_page().cases] == [Lane.STOP, Lane.OVERDUE, Lane.OVERDUE]
    assert queue_page().cases == [stopped, answered, waiting_case]


@pytest.mark.parametrize("size", [1, 2, 3, 7, 50])
def test_pages_of_any_size_show_every_case_once_and_in_order(size):
    cases = [waiting(n // 3 * 2, stop=n % 5 == 0, state=sorted(OURS)[n % 3]) for n in range(25)]
    expected = sorted(cases, key=lambda case: (case.rank, case.pk))
    assert all_pages(size) == expected
    assert all_pages(size, state=S.READY) == [case for case in expected if case.state == S.READY]


@pytest.mark.parametrize("words", ["", "fork"])
def test_going_back_leads_through_the_same_pages_to_the_first(words):
    for n in range(11):
        waiting(n, title="A fork")
    pages = [queue_page(Wanted(q=words), size=4)]
    while pages[-1].after:
        pages.append(queue_page(Wanted(q=words), size=4, after=pages[-1].after))
    assert [len(page.cases) for page in pages] == [4, 4, 3] and pages[0].before == ""
    page, back = pages[-1], []
    while page.before:
        page = queue_page(Wanted(q=words), size=4, before=page.before)
        back.append(page)
    assert [page.cases for page in back] == [page.cases for page in pages[1::-1]]


def test_cases_that_wait_for_the_rider_or_have_ended_are_shown_only_when_asked_for():
    asked, closed = waiting(1, state=S.NEEDS_ANSWER), waiting(2, state=S.CLOSED)
    assert queue_page().cases == []
    assert queue_page(Wanted(state=S.NEEDS_ANSWER)).cases == [asked]
    assert queue_page(Wanted(state=S.CLOSED)).cases == [closed]
    assert queue_page(Wanted(state="any")).cases == [asked, closed]


def test_filters_narrow_one_another(tuner, other_tuner, shop):
    soon = timezone.now() + timedelta(minutes=10)
    mine = waiting(1, holder=tuner.user, held_until=soon, language="de", document={"fork": {"springing": "air"}})
    theirs = waiting(1.5, holder=other_tuner.user, held_until=soon, shop=shop.shop, returned="answer")
    run_out = waiting(3, holder=other_tuner.user, held_until=timezone.now() - timedelta(minutes=1))
    late = waiting(40, stop=True)

    def shown(**wanted: str) -> list[Case]:
        return queue_page(Wanted(**wanted), user=tuner.user).cases

    assert shown(whose="mine") == [mine]
    assert shown(whose="nobody") == [late, run_out]
    assert shown(stop="1") == [late] and shown(overdue="1") == [late] and shown(returned="answer") == [theirs]
    assert shown(shop=str(shop.shop.pk)) == [theirs] and shown(language="de") == [mine] and shown(fork="air") == [mine]
    assert shown(language="de", fork="air", whose="mine") == [mine] and shown(language="de", stop="1") == []


@pytest.mark.parametrize("count", [3, 30])
def test_the_number_of_queries_does_not_grow_with_the_queue(count, django_assert_num_queries, shop):
    for n in range(count):
        waiting(n, shop=shop.shop, title="A fork")
    with django_assert_num_queries(1):
        assert len([case.shop.name for case in queue_page().cases]) == count
    with django_assert_num_queries(2):
        assert len([case.shop.name for case in queue_page(Wanted(q="fork", state=S.READY)).cases]) == count


@pytest.mark.parametrize("after", ["x", "1", "1__", "_1", "-1_1", "1_²", "1_1_1", "1" * 30 + "_1"])
def test_a_mark_that_the_queue_never_gave_is_refused(after):
    with pytest.raises(Refused, match="beginning"):
        queue_page(after=after)
    with pytest.raises(Refused, match="beginning"):
        queue_page(before=after)


@pytest.mark.parametrize("wanted, index", [
    ({}, "queue_order"), ({"state": "ready"}, "queue_of_state"), ({"stop": "1"}, "queue_of_stops"),
    ({"returned": "answer"}, "queue_of_what_came_back"), ({"language": "de"}, "queue_of_language"),
    ({"fork": "air"}, "queue_of_fork_kind"), ({"shop": "1"}, "queue_of_shop"), ({"whose": "mine"}, "queue_of_holder"),
    ({"whose": "nobody"}, "queue_order"), ({"overdue": "1"}, "queue_order"),
])
@pytest.mark.parametrize("back", [False, True])
def test_any_page_is_read_from_an_index_in_its_order_without_sorting(tuner, wanted, index, back):
    if connection.vendor != "sqlite":
        pytest.skip("a server chooses its plan by the size of the table")
    rows = narrowed(Case.objects.all(), Wanted(**wanted), tuner.user)
    rows = rows.filter(rank__lte=5, id__lt=9) if back else rows.filter(rank__gte=5, id__gt=9)
    plan = rows.order_by(*(("-rank", "-id") if back else ("rank", "id"))).explain()
    assert f"INDEX {index} " in plan and "TEMP B-TREE" not in plan
