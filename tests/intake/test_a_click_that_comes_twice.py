"""A doubled click starts one case, and a late one never hands in what nobody has looked at."""
from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse

from intake import services
from intake.models import Case, WorkOrder
from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def rider():
    rider = Rider()
    rider.complain()
    return rider


def hidden(page, form, name):
    return re.search(rf'name="{name}" value="([^"]*)"', page.split(form, 1)[1])[1]


def seen(rider):
    page, form = rider.read("check"), f'action="{rider.url("hand-in")}"'
    return {name: hidden(page, form, name) for name in ("revision", "since")}


def start_page(browser):
    return hidden(browser.get(reverse("case-start")).content.decode(), "<form", "once")


def test_a_doubled_start_comes_to_one_case():
    browser = Client()
    once = start_page(browser)
    first, second = (browser.post(reverse("case-start"), {"rider_name": "Rider", "once": once}) for _ in range(2))
    assert first.url == second.url and Case.objects.count() == 1


def test_it_comes_to_one_case_too_where_the_first_answer_with_its_cookie_was_lost():
    once = start_page(Client())
    first, second = (Client().post(reverse("case-start"), {"once": once}) for _ in range(2))
    assert first.url == second.url and Case.objects.count() == 1


def test_only_one_mail_goes_out(mailoutbox, django_capture_on_commit_callbacks):
    once = start_page(Client())
    with django_capture_on_commit_callbacks(execute=True):
        for _ in range(2):
            Client().post(reverse("case-start"), {"rider_email": "rider@example.org", "once": once})
    assert len(mailoutbox) == 1


def test_whoever_goes_back_and_corrects_the_address_gets_the_mail_there(mailoutbox, django_capture_on_commit_callbacks):
    browser = Client()
    once = start_page(browser)
    with django_capture_on_commit_callbacks(execute=True):
        for email in ("rider@exmaple.org", "rider@example.org"):
            browser.post(reverse("case-start"), {"rider_email": email, "once": once})
    assert Case.objects.get().rider_email == "rider@example.org"
    assert [message.to for message in mailoutbox] == [["rider@exmaple.org"], ["rider@example.org"]]


def test_each_start_page_starts_a_case_of_its_own():
    browser = Client()
    for _ in range(2):
        browser.post(reverse("case-start"), {"once": start_page(browser)})
    assert Case.objects.count() == 2


def test_a_page_whose_case_has_ended_its_links_starts_a_new_one():
    browser = Client()
    once = start_page(browser)
    browser.post(reverse("case-start"), {"once": once})
    services.revoke_links(case=Case.objects.get())
    assert browser.post(reverse("case-start"), {"once": once}).status_code == 302
    assert Case.objects.count() == 2


@pytest.mark.parametrize("once", ["", "x", "é" * 43, "a" * 44])
def test_a_word_that_is_no_token_opens_nothing(once):
    for _ in range(2):
        Client().post(reverse("case-start"), {"once": once})
    assert Case.objects.count() == 2


def test_a_hand_in_that_arrives_after_the_tuners_question_is_refused_kindly(rider, tuner):
    before = seen(rider)
    rider.client.post(rider.url("hand-in"), before)
    services.ask_rider(case=rider.case, question="Which oil?", user=tuner.user)
    answer = rider.client.post(rider.url("hand-in"), before)
    assert answer.status_code == 409
    assert "Your tuner has asked you something" in words_of(answer.content.decode())
    assert rider.case.state == "needs an answer" and rider.case.question == "Which oil?"
    rider.save("complaint", complaint__words="The thin one.")
    assert rider.client.post(rider.url("hand-in"), seen(rider)).url == rider.url("received")


def test_the_answer_to_one_question_is_not_taken_for_the_next_one(rider, tuner):
    rider.client.post(rider.url("hand-in"), seen(rider))
    services.ask_rider(case=rider.case, question="Which oil?", user=tuner.user)
    answered = seen(rider)
    rider.client.post(rider.url("hand-in"), answered)
    services.ask_rider(case=rider.case, question="How much of it?", user=tuner.user)
    assert rider.client.post(rider.url("hand-in"), answered).status_code == 409
    assert rider.case.question == "How much of it?"


def test_a_hand_in_after_another_devices_change_asks_to_look_once_more(rider):
    before = seen(rider)
    services.save_answers(round=rider.case.current_round, answers={"bike.mass_kg": "210"})
    answer = rider.client.post(rider.url("hand-in"), before)
    assert answer.status_code == 409 and "210" in answer.content.decode()
    assert not WorkOrder.objects.exists()
    assert rider.client.post(rider.url("hand-in"), seen(rider)).url == rider.url("received")


def test_a_doubled_hand_in_comes_to_the_same_receipt(rider):
    before = seen(rider)
    first, second = (rider.client.post(rider.url("hand-in"), before) for _ in range(2))
    assert first.url == second.url == rider.url("received")
    assert WorkOrder.objects.count() == 1


def test_the_word_of_another_devices_answer_is_said_once_and_not_again_by_a_save_that_changes_nothing(rider):
    shown = str(rider.case.current_round.revision)
    services.save_answers(round=rider.case.current_round, answers={"bike.mass_kg": "210"})
    for told in (True, False):
        answer = rider.client.post(rider.url("section", "bike"), {
            "bike.mass_kg": "200", "revision": shown, "then": "list"}, follow=True)
        assert ("another device had saved" in words_of(answer.content.decode())) is told
