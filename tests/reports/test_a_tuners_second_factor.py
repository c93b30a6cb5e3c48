"""A tuner's second factor: voluntary at home, a must in public, asked for after the password, never twice the same."""
from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from reports.models import SecondFactor
from reports.services.second_factor import LOCKED_FOR, MOST_MISSES, secret_of
from reports.totp import STEP, code_at
from tests.letter_cases import tuner as named_tuner

pytestmark = pytest.mark.django_db
PASSWORD = "steady-hands-7"
CODE, SET_UP, QUEUE = reverse("second-step"), reverse("second-factor"), reverse("queue")
FUTURE = 4_000_000_000
"""Seconds since 1970: tests turn the clock from here, so that each code is a new one."""


class Phone:
    """A phone that holds the tuner's key; ``later`` lets a step go by."""

    def __init__(self, monkeypatch):
        self.now, self.monkeypatch = FUTURE, monkeypatch
        self.later(0)

    def later(self, seconds=STEP):
        self.now += seconds
        self.monkeypatch.setattr(timezone, "now", lambda: datetime.fromtimestamp(self.now, UTC))

    def code(self, salt=""):
        return code_at(secret_of(salt or SecondFactor.objects.get().salt), self.now // STEP)


@pytest.fixture
def phone(monkeypatch, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    user = named_tuner()
    user.set_password(PASSWORD)
    user.save()
    return Phone(monkeypatch)


def sign_in(client=None, **more):
    client = client or Client()
    return client, client.post(reverse("sign-in"), {"username": "tuner", "password": PASSWORD}, **more)


def set_up(phone):
    """Return a signed-in browser that has just set the second factor up, and the recovery codes."""
    client, _ = sign_in()
    client.post(SET_UP, {"begin": "1"})
    shown = client.post(SET_UP, {"code": phone.code(SecondFactor.objects.get().next_salt)})
    phone.later()
    return client, shown.context["codes"]


def test_at_home_it_is_voluntary(phone):
    client, _ = sign_in()
    assert client.get(QUEUE).status_code == 200


def test_in_public_nothing_opens_before_it_is_set_up(phone, settings, rider):
    settings.SITE_URL = "https://bench.example.org"
    client, _ = sign_in()
    for address in (QUEUE, reverse("desk-case", args=[rider.case.number]), reverse("learning")):
        assert client.get(address).url.startswith(SET_UP), address
    assert client.get(reverse("photo", args=[rider.case.number, 1])).status_code == 404
    client.post(SET_UP, {"begin": "1"})
    page = client.get(SET_UP).content.decode()
    assert "<svg" in page and "style=" not in page and "http" not in page.split("<svg")[1].split(">")[0]
    client.post(SET_UP, {"code": phone.code(SecondFactor.objects.get().next_salt)})
    assert client.get(QUEUE).status_code == 200


def test_it_counts_only_once_a_first_code_was_right(phone):
    client, _ = sign_in()
    client.post(SET_UP, {"begin": "1"})
    assert client.post(SET_UP, {"code": "123"}).status_code == 409
    other, _ = sign_in()
    assert other.get(QUEUE).status_code == 200


def test_the_password_alone_opens_nothing_the_code_leads_where_the_link_led_under_a_fresh_key(phone, rider):
    set_up(phone)
    client, _ = sign_in()
    half = client.session.session_key
    asked = client.get(f"{QUEUE}?state=advised").url
    assert asked.startswith(CODE) and client.post(reverse("take-next")).url == CODE
    assert client.get(SET_UP).url == CODE, "a new factor by the password alone would be a way round"
    onward = client.get(asked).context["next"]
    assert client.post(CODE, {"code": phone.code(), "next": onward}).url == f"{QUEUE}?state=advised"
    assert client.get(QUEUE).status_code == 200 and client.session.session_key != half


def test_onward_leads_nowhere_else(phone):
    set_up(phone)
    client, _ = sign_in()
    assert client.post(CODE, {"code": phone.code(), "next": "https://elsewhere.example/"}).url == QUEUE


def test_a_code_is_taken_once(phone):
    set_up(phone)
    code = phone.code()
    first, second = sign_in()[0], sign_in()[0]
    assert first.post(CODE, {"code": code}).status_code == 302
    assert second.post(CODE, {"code": code}).status_code == 409 and second.get(QUEUE).status_code == 302


def test_a_recovery_code_is_taken_once_and_stored_nowhere_in_the_clear(phone):
    _, codes = set_up(phone)
    assert len(set(codes)) == 10
    stored = str(list(SecondFactor.objects.get().recovery_codes.values()))
    assert not any(code in stored for code in codes)
    assert sign_in()[0].post(CODE, {"code": f" {codes[3].upper()} "}).status_code == 302
    assert sign_in()[0].post(CODE, {"code": codes[3]}).status_code == 409


def test_who_guesses_is_locked_out_from_anywhere_and_let_in_again_later(phone):
    set_up(phone)
    for guess in range(MOST_MISSES):
        client, _ = sign_in(REMOTE_ADDR=f"192.0.2.{guess}")
        client.post(CODE, {"code": "no"})
    locked = client.post(CODE, {"code": phone.code()})
    assert locked.status_code == 409 and "quarter of an hour" in locked.content.decode()
    phone.later(int(LOCKED_FOR.total_seconds()) + STEP)
    assert client.post(CODE, {"code": phone.code()}).status_code == 302


def test_renewing_needs_a_current_code_and_ends_what_the_old_key_opened(phone):
    client, old_codes = set_up(phone)
    other, _ = sign_in()
    other.post(CODE, {"code": phone.code()})
    phone.later()
    assert client.post(SET_UP, {"begin": "1", "code": "000"}).status_code == 409
    assert client.post(SET_UP, {"begin": "1", "code": phone.code()}).status_code == 302
    assert other.get(QUEUE).status_code == 200, "the old key counts until the new one has shown a code"
    phone.later()
    client.post(SET_UP, {"code": phone.code(SecondFactor.objects.get().next_salt)})
    assert client.get(QUEUE).status_code == 200 and other.get(QUEUE).url.startswith(CODE)
    assert other.post(CODE, {"code": old_codes[0]}).status_code == 409


def test_a_session_from_before_is_asked_too(phone):
    before, _ = sign_in()
    set_up(phone)
    assert before.get(QUEUE).url.startswith(CODE)
