"""The private link: shown once, spent by nobody's GET, exchanged by POST, renewed on request, silent to strangers."""
from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse

from intake import services
from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db


def link_of(rider: Rider) -> str:
    return re.search(r"/link/[^<\s]+/", rider.read("show-link"))[0]


def test_a_new_case_shows_its_link_once_and_then_never_again():
    rider = Rider()
    link = link_of(rider)
    assert link not in rider.read("show-link")
    assert "was shown once" in words_of(rider.read("show-link"))


def test_looking_at_the_link_opens_nothing_and_the_button_does():
    rider = Rider()
    link, phone = link_of(rider), Client()
    assert b"Open case" in phone.get(link).content
    assert phone.get(rider.url("case-page")).status_code == 404
    assert phone.post(link).url == rider.url("case-page")
    assert phone.get(rider.url("case-page")).status_code == 200


def test_the_links_own_page_tells_no_other_page_its_address_and_is_kept_nowhere():
    rider = Rider()
    link, phone = link_of(rider), Client()
    for answer in (phone.get(link), phone.post(link), phone.get(link.replace("/link/", "/link/x"))):
        assert answer["Referrer-Policy"] == "strict-origin" and "no-store" in answer["Cache-Control"]


def test_a_revoked_link_gets_a_friendly_page_with_a_way_on():
    rider = Rider()
    link = link_of(rider)
    services.revoke_links(case=rider.case)
    for answer in (Client().get(link), Client().post(link)):
        assert answer.status_code == 410
        assert reverse("ask-link") in answer.content.decode()


def test_making_a_new_link_ends_the_old_one_and_keeps_this_device_in():
    rider = Rider()
    old = link_of(rider)
    rider.client.post(rider.url("show-link"))
    assert link_of(rider) != old
    assert Client().get(old).status_code == 410
    assert rider.client.get(rider.url("case-page")).status_code == 200


def test_asking_for_a_link_answers_the_same_for_known_and_unknown(mailoutbox, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        rider = Rider(email="rider@example.org")
    sent = len(mailoutbox)
    stranger = Client()
    with django_capture_on_commit_callbacks(execute=True):
        known = stranger.post(reverse("ask-link"), {"number": rider.number, "email": "rider@example.org"})
        wrong = stranger.post(reverse("ask-link"), {"number": rider.number, "email": "other@example.org"})
    assert words_of(known.content.decode()) == words_of(wrong.content.decode())
    assert [mail.to for mail in mailoutbox[sent:]] == [["rider@example.org"]]
    mailed = re.search(r"/link/\S+", mailoutbox[-1].body)[0]
    assert stranger.post(mailed).url == rider.url("case-page")


def test_a_bad_address_is_named_and_what_was_typed_stays():
    answer = Client().post(reverse("case-start"), {"rider_name": "Rider", "rider_email": "rider at example"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="rider at example"' in page and 'value="Rider"' in page
    assert "not a complete e-mail address" in page


def test_an_address_can_be_added_later():
    rider = Rider()
    rider.client.post(rider.url("contact"), {"rider_name": "Rider", "rider_email": "rider@example.org"})
    assert rider.case.rider_email == "rider@example.org"


def test_the_home_page_shows_three_doors_and_only_my_own_cases():
    rider, other = Rider(), Rider()
    page = rider.client.get(reverse("home")).content.decode()
    assert all(reverse(door) in page for door in ("case-start", "sign-in", "api-docs"))
    assert rider.number in page and other.number not in page


def test_on_the_home_page_what_comes_next_stands_before_the_picture():
    rider = Rider()
    mine, anyone = (client.get(reverse("home")).content.decode() for client in (rider.client, Client()))
    assert anyone.index("Start a case</a>") < anyone.index('class="drawing"') < anyone.index("I am a tuner")
    assert mine.index(rider.number) < mine.index("Start a case</a>") < mine.index('class="drawing"')
