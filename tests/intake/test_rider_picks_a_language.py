"""The browser's language comes first; whoever picks another keeps it, and the case is written to in it."""
from __future__ import annotations

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from tests.intake.rider_pages import Rider

pytestmark = pytest.mark.django_db


def pick(rider, language, back):
    return rider.client.post(reverse("language"), {"language": language, "next": back})


def test_a_page_says_which_language_it_is_in_and_offers_the_others():
    page = Client().get(reverse("home")).content.decode()
    assert '<html lang="en">' in page
    assert all(f'name="language" value="{code}"' in page for code in ("en", "de", "es"))


def test_the_browsers_language_is_followed_until_another_is_picked():
    browser = Client(headers={"accept-language": "de-AT,de;q=0.9"})
    assert '<html lang="de">' in browser.get(reverse("home")).content.decode()
    browser.post(reverse("language"), {"language": "es", "next": "/"})
    assert '<html lang="es">' in browser.get(reverse("home")).content.decode()


def test_picking_leads_back_to_the_page_and_is_kept_in_the_case():
    rider = Rider()
    assert rider.case.language == "en"
    answer = pick(rider, "de", rider.url("section", "bike"))
    assert answer.url == rider.url("section", "bike")
    assert rider.case.language == "de"


def test_a_case_begins_in_the_language_of_the_page_it_was_started_on():
    rider = Rider.__new__(Rider)
    rider.client = Client(headers={"accept-language": "es"})
    rider.number = rider.client.post(reverse("case-start"), {}).url.strip("/").split("/")[0]
    assert rider.case.language == "es"


def test_somebody_elses_case_keeps_its_language():
    rider, other = Rider(), Rider()
    pick(rider, "de", other.url("case-page"))
    assert other.case.language == "en"


@pytest.mark.parametrize("back", ["https://example.org/", "//example.org", "javascript:alert(1)", "", "case-page"])
def test_it_never_leads_to_another_site(back):
    assert Client().post(reverse("language"), {"language": "de", "next": back}).url == "/"


def test_a_language_that_is_not_there_changes_nothing():
    answer = Client().post(reverse("language"), {"language": "tlh", "next": "/"})
    assert answer.cookies[settings.LANGUAGE_COOKIE_NAME].value == "en"


def test_what_was_understood_is_written_the_languages_way_and_what_was_typed_stays():
    rider = Rider()
    pick(rider, "de", "/")
    rider.save("bike", bike__mass_kg="441.5 lb", bike__wheelbase_mm="142,5 cm")
    page = rider.read("section", "bike")
    assert "441.5 lb = 200,3 kg" in page and "142,5 cm = 1425 mm" in page
    pick(rider, "en", "/")
    assert "441.5 lb = 200.3 kg" in rider.read("section", "bike")
