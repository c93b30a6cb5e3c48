"""A token is replaced without a gap: both open the door for a stated while, then the new one alone."""
from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

from intake.models import ShopToken
from tests.intake.test_the_shops_door import CASES, problem

pytestmark = pytest.mark.django_db
ROTATE = "/api/tokens/rotate/"


def rotate(client: Client, **body: Any) -> Any:
    return client.post(ROTATE, json.dumps(body), content_type="application/json")


def door(token: str) -> int:
    return Client(headers={"authorization": f"Token {token}"}).get(CASES).status_code


def test_both_tokens_open_the_door_until_the_overlap_ends(shop):
    made = rotate(shop.client, overlap_hours=2)
    assert made.status_code == 201 and made.json()["name"] == "counter"
    new = made.json()["token"]
    assert (door(shop.token), door(new)) == (200, 200)
    with time_machine.travel(timezone.now() + timedelta(hours=2, seconds=1)):
        assert (door(shop.token), door(new)) == (401, 200)


def test_without_an_overlap_the_old_one_ends_at_once(shop):
    new = rotate(shop.client, overlap_hours=0).json()["token"]
    assert (door(shop.token), door(new)) == (401, 200)


def test_a_token_is_replaced_once(shop):
    rotate(shop.client)
    assert "already" in problem(rotate(shop.client), 409)["detail"]
    assert ShopToken.objects.count() == 2


@pytest.mark.parametrize("hours", [-1, 169, "soon", 10**30, None])
def test_an_overlap_that_cannot_be_is_refused(shop, hours):
    problem(rotate(shop.client, overlap_hours=hours), 400)


def test_a_token_that_may_read_renews_itself_and_stays_one_that_reads(shop):
    ShopToken.objects.update(scope="read")
    assert rotate(shop.client).json()["scope"] == "read"


def test_the_list_says_when_each_was_last_used_and_hides_other_shops(shop, other_shop):
    shown = shop.client.get("/api/tokens/").json()
    assert [(one["name"], one["this_one"], one["ends_at"]) for one in shown] == [("counter", True, None)]
    assert shop.client.get("/api/tokens/").json()[0]["last_used_at"]
    assert shop.token not in str(shown)


def test_a_use_is_noted_once_a_minute(shop):
    with time_machine.travel("2026-03-01T10:00:00Z", tick=False):
        door(shop.token)
    for at, noted in (("2026-03-01T10:00:50Z", "10:00:00"), ("2026-03-01T10:01:10Z", "10:01:10")):
        with time_machine.travel(at, tick=False):
            door(shop.token)
        assert f"{ShopToken.objects.get().last_used_at:%H:%M:%S}" == noted


def test_a_token_is_revoked_at_once_and_another_shops_does_not_exist(shop, other_shop):
    mine, theirs = (ShopToken.objects.get(shop=one.shop).pk for one in (shop, other_shop))
    problem(shop.client.delete(f"/api/tokens/{theirs}/"), 404)
    problem(shop.client.delete(f"/api/tokens/{10**30}/"), 404)
    assert shop.client.delete(f"/api/tokens/{mine}/").status_code == 204
    assert (door(shop.token), door(other_shop.token)) == (401, 200)
