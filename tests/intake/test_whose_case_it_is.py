"""What is not yours does not exist."""
from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import Http404

from intake import services
from intake.access import cases_in

pytestmark = pytest.mark.django_db


def missing(**door: Any) -> bool:
    with pytest.raises(Http404) as absent:
        services.case_for(**door)
    return str(absent.value) == "There is no such case."


def test_a_rider_sees_the_case_that_was_entered_and_no_other(rider, other_rider):
    session = rider.client.session
    assert services.case_for(number=rider.case.number, session=session) == rider.case
    assert missing(number=other_rider.case.number, session=session)
    assert list(cases_in(session=session)) == [rider.case]


def test_a_session_that_was_tampered_to_name_another_case_opens_nothing(rider, other_rider):
    session = rider.client.session
    (link,) = session["cases"].values()
    session["cases"] = {other_rider.case.number: link}
    with pytest.raises(Http404):
        services.case_for(number=other_rider.case.number, session=session)


def test_a_stranger_sees_nothing_and_cannot_tell_what_exists(rider, stranger):
    assert missing(number=rider.case.number, session=stranger.client.session)
    assert missing(number="FB-NOSUCH", session=stranger.client.session)
    assert missing(number="FB-\x00", user=AnonymousUser())
    assert stranger.client.get("/FB-%00ABC/").status_code == 404
    assert missing(number=rider.case.number, user=AnonymousUser())


def test_every_tuner_sees_every_case_until_the_account_is_switched_off(rider, tuner, other_tuner):
    assert services.case_for(number=f" {rider.case.number.lower()} ", user=tuner.user) == rider.case
    other_tuner.user.is_active = False
    assert missing(number=rider.case.number, user=other_tuner.user)


def test_a_shop_sees_its_own_cases_only(rider, shop, other_shop):
    own = services.start_case(shop=shop.shop, shop_job="W-1")
    assert services.case_for(number=own.number, shop=shop.shop) == own
    assert missing(number=own.number, shop=other_shop.shop)
    assert missing(number=rider.case.number, shop=shop.shop)


def test_a_caller_that_names_no_door_or_two_is_a_mistake_in_the_program(rider, tuner, shop):
    with pytest.raises(TypeError):
        services.case_for(number=rider.case.number)
    with pytest.raises(TypeError):
        services.case_for(number=rider.case.number, user=tuner.user, shop=shop.shop)
