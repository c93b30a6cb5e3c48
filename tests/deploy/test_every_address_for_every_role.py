"""Every address, asked by everybody in every way: never a server error, and never somebody else's case."""
from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import get_resolver, reverse

from intake.models import Case

pytestmark = pytest.mark.django_db
METHODS = ("get", "post", "put")
PARTS = {"name": "bike", "photo_id": "1", "token": "abc", "round_number": "1", "position": "0", "delivery": "1",
         "view": "1", "version": "1", "words": "1", "log": "1", "token_id": "1", "table_id": "1", "hook_id": "1",
         "sent_id": "1",
         "sheet": "1", "kind": "fork"}


def routes(patterns: list[Any], before: str = "") -> Iterator[str]:
    for pattern in patterns:
        here = before + str(pattern.pattern)
        yield from routes(pattern.url_patterns, here) if hasattr(pattern, "url_patterns") else [here]


def addresses(number: str) -> list[str]:
    def filled(part: re.Match[str]) -> str:
        return (PARTS | {"number": number})[part[1].rpartition(":")[2]]

    signing_out = (reverse("sign-out"), reverse("shop-sign-out"))
    found = ["/" + re.sub(r"<([^>]+)>", filled, route) for route in routes(get_resolver().url_patterns)]
    return [address for address in found if address not in signing_out]


def answers(client: Client, number: str) -> Iterator[tuple[str, str, int]]:
    client.raise_request_exception = False
    for address in addresses(number):
        for method in METHODS:
            yield method, address, getattr(client, method)(address).status_code


def test_there_are_addresses_to_ask():
    assert len(addresses("FB-ABCDEF")) > 45


@pytest.mark.parametrize("who, number", [("rider", "{own}"), ("tuner", "{own}"), ("tuner", "%00"), ("counter", "{own}"),
                                         ("counter", "%00")])
def test_nobody_gets_a_server_error(request, rider, who, number):
    client, number = request.getfixturevalue(who).client, number.format(own=rider.case.number)
    assert [found for found in answers(client, number) if found[2] >= 500] == []


@pytest.mark.parametrize("who", ["other_rider", "shop", "counter", "stranger"])
def test_what_is_not_yours_does_not_exist_and_stays_as_it_is(request, rider, who):
    before = Case.objects.filter(pk=rider.case.pk).values().get()
    every = list(answers(request.getfixturevalue(who).client, rider.case.number))
    assert [found for found in every if found[2] >= 500] == []
    found = [one for one in every if rider.case.number in one[1]]
    assert len(found) > 100 and {status for *_, status in found} <= {302, 401, 404, 405}
    assert {address for _, address, status in found if status == 302} <= {
        address for address in addresses(rider.case.number) if address.startswith(("/desk/", "/shop/"))}
    assert Case.objects.filter(pk=rider.case.pk).values().get() == before


def test_the_api_page_answers_an_unusual_method_politely(stranger):
    stranger.client.raise_request_exception = False
    assert stranger.client.options(reverse("api-docs")).status_code == 405
