"""The page for a shop's programmer says all that the API's description says, and needs no script."""
from __future__ import annotations

import re
from collections.abc import Mapping

import pytest
from django.test import Client
from django.urls import reverse

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client: Client) -> str:
    return client.get(reverse("api-docs")).content.decode()


@pytest.fixture
def described(client: Client) -> Mapping[str, Mapping[str, Mapping[str, object]]]:
    found: Mapping[str, Mapping[str, Mapping[str, object]]] = client.get(
        reverse("api-schema"), headers={"accept": "application/json"}).json()
    return found


def test_every_call_stands_on_the_page_under_its_method_and_address(page: str, described) -> None:
    calls = [(method, path) for path, item in described["paths"].items() for method in item]
    assert len(calls) > 25
    assert all(f"<code>{method.upper()} {path}</code>" in page for method, path in calls)


def test_every_link_to_a_kind_leads_to_its_fields(page: str) -> None:
    linked, there = set(re.findall(r'href="#(kind-\w+)"', page)), set(re.findall(r'id="(kind-\w+)"', page))
    assert len(linked) > 15
    assert linked <= there


def test_a_field_of_few_values_names_them(page: str) -> None:
    assert "&#x27;handed in&#x27; or &#x27;ready&#x27;" in page


def test_the_page_says_how_a_message_is_signed(page: str) -> None:
    assert "Farbench-Signature" in page and "HMAC-SHA256" in page


def test_the_page_loads_nothing_from_elsewhere_and_little_at_all(page: str) -> None:
    assert not re.search(r'(?:src|href)="(?:https?:)?//', page)
    assert len(page.encode()) < 150_000
