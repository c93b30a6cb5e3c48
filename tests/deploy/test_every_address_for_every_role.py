"""Every address, asked by everybody in every way: never a server error, and never somebody else's case."""
from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import get_resolver, reverse

from intake import services
from intake.models import Case
from reports.services.tuners import make_lead
from tests.deploy.rights import TABLE, Row

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


# -- The table of roles and rights, cell by cell -----------------------------------------------------------------
NOBODYS = 999_999
"""A key that nothing has: a row's ``part`` is not there, and nothing is taken away in passing."""
MISSING = "FB-ZZZZZZ"
COMES_IN = {"rider": ("rider", "other_rider"), "desk": ("tuner", "lead"), "lead": ("lead",),
            "counter": ("counter", "other_counter"), "token": ("shop", "other_shop")}
ROLES = ("rider", "other_rider", "tuner", "lead", "counter", "other_counter", "shop", "other_shop", "stranger")
SIGN_IN = {"desk": "sign-in", "lead": "sign-in", "counter": "shop-sign-in"}


def all_names(patterns: list[Any], before: str = "") -> Iterator[tuple[str, str]]:
    for pattern in patterns:
        here = before + str(pattern.pattern)
        yield from all_names(pattern.url_patterns, here) if hasattr(pattern, "url_patterns") else [(pattern.name, here)]


ROUTES = dict(all_names(get_resolver().url_patterns))


def test_every_address_stands_in_the_table_once():
    listed = [row.name for row in TABLE]
    assert sorted(listed) == sorted(ROUTES), "add or take away its row in tests/deploy/rights.py"


@pytest.fixture
def lead(other_tuner):
    make_lead(user=other_tuner.user)
    return other_tuner


def address_of(row: Row, number: str) -> str:
    def filled(part: re.Match[str]) -> str:
        kind, _, name = part[1].rpartition(":")
        return number if name == "number" else str(NOBODYS) if kind == "int" else PARTS[name]

    return "/" + re.sub(r"<([^>]+)>", filled, ROUTES[row.name])


def expected(row: Row, role: str, method: str, case: str) -> str:
    """Say in a word what the table promises; ``case`` is own, foreign, missing, or blank where none is named."""
    if row.door in ("open", "step"):
        return "405" if method not in row.methods else "404" if row.part else "in"
    inside = role in COMES_IN[row.door] or row.door == "lead" and role == "tuner"
    if not inside and row.door != "rider":
        return "401" if row.door == "token" else f"to {SIGN_IN[row.door]}"
    if row.door == "lead" and role == "tuner":
        return "403"
    if method not in row.methods:
        return "405"
    everybodys = row.door in ("desk", "lead") and case != "missing"
    return "404" if row.part or not (case in ("own", "") and inside or everybodys) else "in"


def said(answer: Any) -> str:
    """Put an answer into the same words."""
    if answer.status_code == 302:
        for name in ("shop-sign-in", "sign-in"):
            if answer.url.startswith(reverse(name)):
                return f"to {name}"
    return str(answer.status_code) if answer.status_code in (401, 403, 404, 405) or answer.status_code >= 500 else "in"


@pytest.mark.parametrize("role", ROLES)
def test_every_cell_of_the_table_of_rights_is_as_it_says(request, role, rider, other_rider, shop, lead):
    """Each address, each method that it answers and one that it does not, on an own, a foreign and a missing case."""
    job = services.start_case(rider_name="Job", rider_email="job@riders.example")
    Case.objects.filter(pk=job.pk).update(shop=shop.shop)
    own = {"rider": rider.case, "other_rider": other_rider.case, "counter": job, "shop": job, "tuner": job,
           "lead": job}.get(role)  # a tuner's own is any
    foreign = rider.case if own == job else job
    numbers = {"missing": MISSING, "foreign": foreign.number} | ({"own": own.number} if own else {})
    client = (lead if role == "lead" else request.getfixturevalue(role)).client
    client.raise_request_exception = False
    wrong = []
    for row in TABLE:
        cache.clear()  # the token's limit is no part of this
        named = numbers if "number>" in ROUTES[row.name] else {"": ""}
        strange = [method for method in ("put", "delete", "post") if method not in row.methods][:1]
        for case, number in named.items():
            for method in (*row.methods, *(strange if case in ("own", "") else [])):
                if row.name.endswith("sign-out") and method == "post":
                    continue
                found = said(getattr(client, method)(address_of(row, number)))
                if found != expected(row, role, method, case) and not (row.door == "step" and found.startswith("to ")):
                    wrong.append(f"{row.name} {method} {case}: {found}, not {expected(row, role, method, case)}")
    assert not wrong, "\n".join(wrong)
