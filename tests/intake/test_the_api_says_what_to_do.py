"""A shop's program that calls the API wrongly is told how to call it, and not sent to a page that it does not have."""
from __future__ import annotations

import pytest
from django.urls import reverse

from tests.letter_cases import handed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def number(shop):
    return handed_in(shop=shop.shop).round.case.number


def told(answer, status):
    body = answer.json()
    assert (answer.status_code, answer["Content-Type"]) == (status, "application/problem+json")
    return f"{body['detail']} {body.get('mend', '')}"


@pytest.mark.parametrize(("place", "words"), [("", "not said where"), ("nowhere", "no page 'nowhere'")])
def test_a_photo_without_a_place_is_answered_with_the_places_there_are(shop, number, place, words):
    answer = shop.client.post(reverse("api-photos", args=[number]) + f"?place={place}", b"x", content_type="image/jpeg")
    said = told(answer, 409)
    assert words in said and "?place=" in said and "travel" in said and "Open the page" not in said


def test_a_body_of_another_kind_is_answered_with_the_kind_that_is_read(shop, number):
    photos = reverse("api-photos", args=[number])
    assert "'Content-Type: image/*'" in told(shop.client.post(photos, {"photo": "x"}), 415)
    assert "'Content-Type: application/json'" in told(shop.client.post(reverse("api-cases"), {"job": "W-1"}), 415)


def test_a_wrong_method_answer_or_cursor_says_what_would_be_right(shop, number):
    assert "Allow" in told(shop.client.delete(reverse("api-case", args=[number])), 405)
    assert "application/json" in told(shop.client.get(reverse("api-cases"), headers={"accept": "text/csv"}), 406)
    assert "first page" in told(shop.client.get(reverse("api-cases"), {"cursor": "made up"}), 404)


def test_a_document_that_is_too_large_is_told_where_photos_go(shop):
    large = f'{{"job": "{"x" * 1_000_001}"}}'
    said = told(shop.client.post(reverse("api-cases"), large, content_type="application/json"), 413)
    assert "address for photos" in said and "rider's page" not in said


def test_a_word_that_is_none_of_a_few_is_answered_with_the_few(shop, number):
    hook = {"address": "https://shop.example/hook", "events": ["advised"]}
    for address, sent, words in (
            (reverse("api-hooks"), hook, "none of: state changed, "),
            (reverse("api-rounds", args=[number]), {"done": "half"}, "none of: ")):
        answer = shop.client.post(address, sent, content_type="application/json")
        assert answer.status_code == 400 and words in answer.json()["faults"][0]["problem"]
