"""A sign that the bike is not safe stops the tests at once, says what to do, and the case can still be handed in."""
from __future__ import annotations

import pytest

from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def rider():
    return Rider()


def test_a_yes_shows_the_stop_and_what_to_do_on_the_next_view(rider):
    answer = rider.client.post(rider.url("section", "safety"), {"safety.oil_on_brake": "yes"}, follow=True)
    words = words_of(answer.content.decode())
    assert "Stop. Do not ride." in words and "oily pads replaced" in words


def test_the_bench_tests_are_put_away_and_refuse_kindly(rider):
    assert "Step by step" in rider.read("bench-test", "push")
    rider.save("safety", safety__crack_or_crease="yes")
    page = rider.read("bench-test", "push")
    assert "Step by step" not in page and 'name="bench.push' not in page
    assert "Please leave this test out" in page
    assert "/bench/" not in rider.read("case-page")


def test_another_pages_fault_does_not_hide_the_stop(rider):
    rider.save("bike", bike__mass_kg="a lot")
    rider.save("safety", safety__crack_or_crease="yes")
    assert "Stop. Do not ride." in rider.read("case-page")


def test_a_stop_can_be_handed_in_and_is_repeated_on_the_receipt(rider):
    rider.complain()
    rider.save("safety", safety__stuck_down="yes")
    answer = rider.client.post(rider.url("hand-in"), follow=True)
    words = words_of(answer.content.decode())
    assert "Received" in words and "do not ride" in words
    assert "Stop. Do not ride." in rider.read("case-page")


def test_the_answer_that_caused_a_stop_can_be_put_right(rider):
    rider.measure("push", bench__push__came_back="no")
    page = rider.read("bench-test", "push")
    assert "Stop. Do not ride." in page and 'name="bench.push.came_back"' in page
    rider.measure("push", bench__push__came_back="yes")
    assert "Stop. Do not ride." not in rider.read("bench-test", "push")


def test_a_sealed_cartridge_is_not_opened_at_home(rider):
    rider.save("fork", fork__damper="sealed cartridge")
    page = rider.read("bench-test", "oil")
    assert "Step by step" not in page and "licensed workshop opens it" in page
    assert "Step by step" in rider.read("bench-test", "sag")


def test_only_tests_that_the_rider_can_do_are_offered(rider):
    rider.answer_first(rider__can=["ride", "tape"])
    offered, _, waiting = rider.read("case-page").partition("for which something is missing")
    assert rider.url("bench-test", "travel") in offered
    assert rider.url("bench-test", "push") in waiting and "someone to help" in waiting


def test_no_test_is_offered_before_the_signs_were_looked_for(rider):
    rider.complain()
    assert "/bench/" not in rider.read("case-page")
    assert "First look whether it is safe" in words_of(rider.read("bench-test", "push"))
    rider.answer_first()
    assert "/bench/" in rider.read("case-page")
    assert "First look whether it is safe" not in words_of(rider.read("bench-test", "push"))


def test_the_page_that_says_stop_leads_to_the_hand_in_and_names_nothing_as_missing(rider):
    rider.answer_first(**{"safety.oil_on_brake": "yes"})
    page = rider.read("section", "first")
    stop = page.split('class="stop"')[1].split("</section>")[0]
    assert f'href="{rider.url("check")}"' in stop and "missing:" not in words_of(page)
