"""Three readings of one thing are taken as they come, kept as typed, and shown with mean and spread."""
from __future__ import annotations

import pytest

from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db
USED = "bench.travel.used_mm"


@pytest.fixture
def rider():
    return Rider()


def test_there_is_a_row_for_each_repeat(rider):
    page = rider.read("bench-test", "travel")
    assert all(f'name="{USED}{more}"' in page for more in ("", "~2", "~3"))


def test_they_are_kept_as_typed_and_shown_with_mean_and_spread_and_how_it_is_worked_out(rider):
    rider.measure("travel", **{USED: "100", f"{USED}~2": "102 mm", f"{USED}~3": "10,4", f"{USED}~unit": "cm"})
    assert rider.document["bench"]["travel"]["used_mm"] == ["100 cm", "102 mm", "10,4 cm"]
    rider.measure("travel", **{USED: "100", f"{USED}~2": "102", f"{USED}~3": "104", f"{USED}~unit": "mm"})
    words = words_of(rider.read("bench-test", "travel"))
    assert "Mean of 3 readings: 102 mm. Spread: 2 mm." in words
    assert "divided by one less than how many there are" in words
    assert "100; 102; 104 mm" in words_of(rider.read("check"))


def test_one_reading_stays_one_number(rider):
    rider.measure("travel", **{USED: "101", f"{USED}~2": "", f"{USED}~3": " "})
    assert rider.document["bench"]["travel"]["used_mm"] == "101"
    assert "Mean of" not in rider.read("bench-test", "travel")


def test_a_faulty_reading_is_named_and_all_of_them_stay(rider):
    rider.measure("travel", **{USED: "101", f"{USED}~2": "far", f"{USED}~3": "104"})
    page = rider.read("bench-test", "travel")
    assert all(f'value="{text}"' in page for text in ("101", "far", "104"))
    assert "answer to look at again" in words_of(page)


def test_taking_all_of_them_away_takes_the_answer_away(rider):
    rider.measure("travel", **{USED: "101", f"{USED}~2": "102"})
    rider.measure("travel", **{USED: "", f"{USED}~2": "", f"{USED}~3": ""})
    assert "bench" not in rider.document


def test_a_test_is_left_out_with_one_tap_and_a_reason_in_words_goes_before_it(rider):
    rider.measure("push", why="Nobody to help", **{"bench.push.not_done": ""})
    assert rider.document["bench"]["push"]["not_done"] == "Nobody to help"
    rider.measure("push", why="Nobody to help", **{"bench.push.not_done": "My back hurts."})
    assert rider.document["bench"]["push"]["not_done"] == "My back hurts."
