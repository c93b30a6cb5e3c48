"""Which bench test is offered when: what would tell most first, what opens the fork last, nothing that must not be."""
from __future__ import annotations

import pytest

from analysis.catalogue import BENCH_TESTS
from analysis.worth import Worth
from intake.way import way_through
from tests.intake.rider_pages import Rider, words_of

ALL = ["helper", "stand", "rear stand", "tape", "caps", "ride", "workshop"]
OPENS = {test.name for test in BENCH_TESTS if "caps" in test.needs}
FURTHER = ("rolling", "top_out", "known_load", "warmth", "push", "rear_sag")


def way(can=ALL, **more):
    return way_through("FB-7K3QX9", {"rider": {"can": can}} | more.pop("document", {}), **more)


def offered(can=ALL, **more):
    return [station.place.name for station in way(can, **more).offered]


def ranked(*names):
    return [Worth(name, 0.5) for name in names]


def test_every_test_is_offered_to_who_can_do_all():
    assert set(offered()) == {test.name for test in BENCH_TESTS}


def test_without_a_ranking_the_order_is_the_catalogues_with_those_that_open_the_fork_last():
    names = [test.name for test in BENCH_TESTS]
    order = offered()
    assert order == [name for name in names if name not in OPENS] + [name for name in names if name in OPENS]
    assert {"oil", "cap", "springs_measured", "twins"} <= OPENS


@pytest.mark.parametrize("name", FURTHER)
def test_the_test_that_is_worth_most_comes_first(name):
    assert offered(ranked=ranked(name, "look"))[0] == name


def test_once_it_is_begun_it_is_no_open_test_any_more():
    done = {"bench": {"known_load": {"light_kg": 10}}}
    found = way(document=done, ranked=ranked("known_load", "push"))
    assert [station.place.name for station in found.open_tests] == ["push"]
    assert [station.place.name for station in found.done_tests] == ["known_load"]


def test_what_would_tell_little_is_put_aside_and_can_still_be_done():
    found = way(ranked=ranked("push"))
    assert "look" in [station.place.name for station in found.idle_tests]
    assert "look" not in [station.place.name for station in found.open_tests]


def test_a_test_that_opens_the_fork_comes_after_every_other_that_is_worth_it():
    found = way(ranked=ranked("oil", "sag"))
    assert [station.place.name for station in found.open_tests] == ["sag", "oil"]


def test_a_ranked_test_that_the_rider_cannot_do_is_not_pushed():
    assert "known_load" not in offered(can=["tape"], ranked=ranked("known_load"))


def test_front_and_rear_are_kept_apart():
    found = way(ranked=ranked("push", "sag", "rear_sag"))
    assert {station.place.name for station in found.rear_tests} == {"rear_sag"}
    assert "rear_sag" not in {station.place.name for station in found.front_tests}


@pytest.mark.parametrize("test", [test for test in BENCH_TESTS if test.needs], ids=lambda test: test.name)
def test_each_need_is_respected(test):
    for need in test.needs:
        assert test.name not in offered(can=[one for one in ALL if one != need])


def test_a_sealed_fork_closes_every_test_that_opens_it():
    assert not OPENS & set(offered(sealed=("A workshop opens it.",)))
    assert not OPENS & set(offered(sealed=("A workshop opens it.",), ranked=ranked("cap")))


def test_a_stop_closes_all_of_them():
    assert offered(stopped=True, ranked=ranked("sag")) == []


@pytest.mark.django_db
def test_the_riders_page_puts_the_test_that_would_tell_most_on_top_and_says_what_it_tells_apart():
    rider = Rider()
    rider.answer_first()
    assert "/bench/" in rider.read("case-page")
    rider.save("service", service__filled="drained")
    rider.save("fork", fork__travel_mm="140")
    page = rider.read("case-page")
    words = words_of(page)
    assert "it best tells these two apart" in words.split("Bench tests")[0]
    best = page.split("next-step", 1)[1].split('href="', 1)[1].split('"')[0]
    assert "/bench/" in best and page.index(best) < page.index("At the front")


@pytest.mark.django_db
@pytest.mark.parametrize(("mass", "pushed"), [("200", True), ("320", False)])
def test_a_bike_too_heavy_to_push_is_not_pushed_first(mass, pushed):
    rider = Rider()
    rider.answer_first()
    rider.save("service", service__filled="drained")
    rider.save("fork", fork__travel_mm="140")
    rider.save("bike", bike__mass_kg=mass)
    best = rider.read("case-page").split("next-step", 1)[1].split('href="', 1)[1].split('"')[0]
    assert "/bench/" in best and ("/bench/push/" in best) == pushed
