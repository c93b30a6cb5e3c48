"""The cast of every test: who they are and how they come in."""
from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.cache import cache
from django.test import Client
from django.utils import translation
from hypothesis import settings

from intake import services
from intake.models import Case, Shop, ShopUser

# The same examples in every run, and no clock on any: a busy machine must not turn a test red.
settings.register_profile("suite", deadline=None, max_examples=25, derandomize=True)
settings.load_profile("suite")


@dataclass(frozen=True)
class Rider:
    """Somebody with a phone that has entered one case."""

    case: Case
    client: Client


@dataclass(frozen=True)
class Tuner:
    """Somebody who is signed in at the desk."""

    user: User
    client: Client


@dataclass(frozen=True)
class ShopSystem:
    """A shop's own program with its token."""

    shop: Shop
    token: str
    client: Client


@dataclass(frozen=True)
class ShopPerson:
    """Somebody who is signed in at a shop's counter."""

    shop: Shop
    client: Client


@dataclass(frozen=True)
class Stranger:
    """Somebody without anything."""

    client: Client


@pytest.fixture(autouse=True)
def nothing_is_left_behind(settings: Any, tmp_path: Path) -> Iterator[None]:
    """Photos go to the test's own folder, no throttle remembers the test before, and a page's language ends with it."""
    settings.MEDIA_ROOT = tmp_path / "media"
    cache.clear()
    yield
    translation.deactivate()


@pytest.fixture
def new_rider(db: None) -> Callable[[str], Rider]:
    def make(name: str) -> Rider:
        case = services.start_case(rider_name=name, rider_email=f"{name.lower()}@riders.example")
        client = Client()
        session = client.session
        services.enter(token=services.new_link(case=case), session=session)
        session.save()
        client.cookies["sessionid"] = session.session_key
        return Rider(case, client)
    return make


@pytest.fixture
def rider(new_rider: Callable[[str], Rider]) -> Rider:
    return new_rider("Rider")


@pytest.fixture
def other_rider(new_rider: Callable[[str], Rider]) -> Rider:
    return new_rider("Other")


def _tuner(name: str) -> Tuner:
    user = User.objects.create_user(name, is_staff=True)  # without a password: making one is slow on purpose
    client = Client()
    client.force_login(user, backend="reports.sign_in_backend.SignInBackend")
    return Tuner(user, client)


@pytest.fixture
def tuner(db: None) -> Tuner:
    return _tuner("tuner")


@pytest.fixture
def other_tuner(db: None) -> Tuner:
    return _tuner("other_tuner")


def _shop(name: str) -> ShopSystem:
    token = services.new_shop_token(shop_name=name, name="counter")
    return ShopSystem(Shop.objects.get(name=name), token, Client(headers={"authorization": f"Token {token}"}))


@pytest.fixture
def shop(db: None) -> ShopSystem:
    return _shop("Shop by the river")


@pytest.fixture
def other_shop(db: None) -> ShopSystem:
    return _shop("Other shop")


def _person(shop: Shop, name: str) -> ShopPerson:
    user = User.objects.create_user(name)
    ShopUser.objects.create(user=user, shop=shop)
    client = Client()
    client.force_login(user, backend="reports.sign_in_backend.SignInBackend")
    return ShopPerson(shop, client)


@pytest.fixture
def counter(shop: ShopSystem) -> ShopPerson:
    return _person(shop.shop, "anna")


@pytest.fixture
def other_counter(other_shop: ShopSystem) -> ShopPerson:
    return _person(other_shop.shop, "bert")


@pytest.fixture
def stranger(db: None) -> Stranger:
    return Stranger(Client())
