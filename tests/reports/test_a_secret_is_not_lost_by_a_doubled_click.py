"""What a page shows once is shown again by the second half of a doubled click, whose first answer nobody saw."""
from __future__ import annotations

import re
import time
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from intake.errors import Refused
from intake.models import PrivateLink, ShopToken
from reports import services
from reports.models import RecoveryCode, SecondFactor, WebHook
from reports.services.hooks import EVENTS
from reports.services.second_factor import secret_of
from reports.services.tuners import make_lead
from reports.totp import code_at

pytestmark = pytest.mark.django_db


def word_of(client: Client, address: str) -> dict[str, str]:
    """Return the word that the page carries, as its form sends it."""
    found = re.search(r'name="once" value="([^"]+)"', client.get(address).content.decode())
    assert found
    return {"once": found[1]}


def code_now(key: bytes) -> str:
    return code_at(key, int(time.time() // 30))


def secrets_in(answer: Any) -> list[str]:
    return re.findall(r"<code[^>]*>([^<]{12,})</code>", answer.content.decode())


def doubled(client: Client, address: str, data: dict[str, Any], page: str = "") -> list[str]:
    """Press a button twice and return the secrets that both answers show; they have to be the same."""
    data = data | word_of(client, page or address)
    first, second = (client.post(address, data, follow=True) for _ in range(2))
    assert secrets_in(first) == secrets_in(second) != []
    return secrets_in(second)


def test_a_new_token_of_a_shop(counter):
    [token] = doubled(counter.client, reverse("shop-tokens"), {"name": "till", "scope": "read"})
    assert ShopToken.objects.filter(name="till").count() == 1
    assert Client(headers={"authorization": f"Token {token}"}).get("/api/cases/").status_code == 200


def test_a_renewed_token_of_a_shop(counter):
    old = ShopToken.objects.get()
    [token] = doubled(counter.client, reverse("shop-token-renew", args=[old.pk]), {"overlap_hours": "1"},
                      page=reverse("shop-tokens"))
    assert ShopToken.objects.count() == 2
    assert Client(headers={"authorization": f"Token {token}"}).get("/api/cases/").status_code == 200


def test_the_secret_of_a_web_hook(counter, monkeypatch):
    monkeypatch.setattr("reports.services.hooks.checked_address", lambda address: address)
    doubled(counter.client, reverse("shop-hooks"), {"address": "https://shop.example/told", "events": [EVENTS[0]]})
    assert WebHook.objects.count() == 1


def test_the_password_of_somebody_at_a_shop(tuner):
    [password] = doubled(tuner.client, reverse("desk-shops"), {"shop": "Shop by the river", "username": "anna"})
    assert get_user_model().objects.get(username="anna").check_password(password)


def test_the_password_of_a_tuner(tuner):
    make_lead(user=tuner.user)
    shown = doubled(tuner.client, reverse("desk-people"), {"username": "bea"})
    bea = get_user_model().objects.get(username="bea")
    assert [bea.check_password(one) for one in shown].count(True) == 1


def test_the_recovery_codes_of_a_tuner(tuner):
    services.begin_factor(user=tuner.user)
    key = secret_of(SecondFactor.objects.get().next_salt)
    address = reverse("second-factor")
    word = word_of(tuner.client, address)
    first, second = (tuner.client.post(address, {"code": code_now(key)} | word) for _ in range(2))
    codes = re.findall(r"\b(?:\w{4}-){3}\w{4}\b", second.content.decode())
    assert len(set(codes)) == 10 == RecoveryCode.objects.count()
    assert codes == re.findall(r"\b(?:\w{4}-){3}\w{4}\b", first.content.decode())
    assert services.pass_factor(user=tuner.user, code=codes[3])


def test_a_page_that_stands_open_for_long_gives_no_codes_any_more(tuner):
    services.begin_factor(user=tuner.user)
    key = secret_of(SecondFactor.objects.get().next_salt)
    said = {"user": tuner.user, "code": code_now(key), "salt": "of one page"}
    assert services.confirm_factor(**said) == services.confirm_factor(**said)
    SecondFactor.objects.update(confirmed_at=timezone.now() - timedelta(minutes=11))
    with pytest.raises(Refused):
        services.confirm_factor(**said)


def test_the_private_link_of_a_rider(rider):
    address = reverse("show-link", args=[rider.case.number])
    word = word_of(rider.client, address)
    shown = [re.search(r"/link/([\w-]{43})/", rider.client.post(address, word, follow=True).content.decode())
             for _ in range(2)]
    assert shown[0] and shown[1] and shown[0][1] == shown[1][1]
    assert PrivateLink.objects.filter(revoked_at=None).count() == 1
    assert Client().get(reverse("open-link", args=[shown[1][1]])).status_code == 200


def test_another_page_makes_another_secret_and_a_page_without_a_word_too(counter):
    address, seen = reverse("shop-tokens"), set()
    for number, word in enumerate([word_of(counter.client, address), word_of(counter.client, address), {}, {}]):
        seen.update(secrets_in(counter.client.post(address, {"name": f"till {number}", "scope": "read"} | word)))
    assert len(seen) == 4


def test_the_word_of_a_page_is_of_use_to_nobody_else(counter, other_counter):
    address = reverse("shop-tokens")
    word = word_of(counter.client, address)
    both = [secrets_in(who.client.post(address, {"name": "till", "scope": "read"} | word))
            for who in (counter, other_counter)]
    assert both[0] != both[1]
