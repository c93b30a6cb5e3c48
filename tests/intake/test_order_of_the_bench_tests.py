"""Which bench test is offered when: what would tell most first, what opens the fork last, nothing that must not be."""
from __future__ import annotations

import pytest

from analysis.catalogue import BENCH_TESTS
from intake.models import Case
from intake.stations import way_through
from tests.intake.rider_pages import Rider, words_of

ALL = ["helper", "stand", "rear stand", "tape", "caps", "ride"]
OPENS = {test.name for test in BENCH_TESTS if "caps" in test.needs}
FURTHER = ("rolling", "top_out", "known_load", "warmth", "cap", "springs_measured", "twins")


def offered(can=ALL, **more):
    way = way_through("FB-7K3QX9", {"rider": {"can": can}} | more.pop("document", {}), **more)
    return [station.place.name for station in way.offered]


def title(name):
    return next(test.title for test in BENCH_TESTS if test.name == name)


def test_every_test_is_offered_to_who_can_do_all():
    assert set(offered()) == {test.name for test in BENCH_TESTS}


def test_without_a_draft_the_order_is_the_catalogues_with_those_that_open_the_fork_last():
    names = [test.name for test in BENCH_TESTS]
    order = offered()
    assert order == [name for name in names if name not in OPENS] + [name for name in names if name in OPENS]
    assert {"oil", "cap", "springs_measured", "twins"} <= OPENS


@pytest.mark.parametrize("name", FURTHER)
def test_the_test_that_the_newest_draft_names_comes_first(name):
    assert offered(wanted=title(name))[0] == name


def test_once_it_is_begun_it_goes_back_to_its_place():
    done = {"bench": {"known_load": {"light_kg": 10}}}
    assert offered(wanted=title("known_load"), document=done) == offered(document=done)


def test_a_wanted_test_that_the_rider_cannot_do_is_not_pushed():
    assert "known_load" not in offered(can=["tape"], wanted=title("known_load"))


@pytest.mark.parametrize("test", [test for test in BENCH_TESTS if test.needs], ids=lambda test: test.name)
def test_each_need_is_respected(test):
    for need in test.needs:
        assert test.name not in offered(can=[one for one in ALL if one != need])


def test_a_sealed_fork_closes_every_test_that_opens_it():
    assert not OPENS & set(offered(sealed=("A workshop opens it.",)))
    assert not OPENS & set(offered(sealed=("A workshop opens it.",), wanted=title("cap")))


def test_a_stop_closes_all_of_them():
    assert offered(stopped=True, wanted=title("sag")) == []


@pytest.mark.django_db
def test_the_riders_page_names_the_test_that_would_tell_most_and_puts_it_on_top():
    rider = Rider()
    rider.save("rider", **{"rider__can": ALL, "rider__can~shown": "1"})
    assert "would tell us most" not in rider.read("case-page")
    Case.objects.filter(number=rider.number).update(summary={"next_test": title("known_load")})
    page = rider.read("case-page")
    assert page.index(rider.url("bench-test", "known_load")) < page.index(rider.url("bench-test", "look"))
    assert words_of(page).count("This one would tell us most") == 1
