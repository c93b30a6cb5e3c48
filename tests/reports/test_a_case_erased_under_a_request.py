"""A case is erased while another request is at work on it: who asks is told that it is not there, without a fault."""
from __future__ import annotations

import json
from typing import Any

import pytest
from django.urls import reverse

from intake import services
from intake.models import Case, Event
from tests.intake.test_the_shops_door import send

pytestmark = pytest.mark.django_db(transaction=True)  # the database itself refuses what belongs to no case any more


@pytest.fixture(autouse=True)
def erased_as_soon_as_read(monkeypatch: pytest.MonkeyPatch) -> None:
    read = Case.current_round.fget

    def read_and_erased(case: Case) -> Any:
        newest = read(case)
        if case.rider_name == "Gone":
            services.erase_case(case=case, typed=case.number)
        return newest

    monkeypatch.setattr(Case, "current_round", property(read_and_erased))


def soon_gone(case: Case) -> Case:
    """Let the next request that reads the case's newest round be too late."""
    Case.objects.filter(pk=case.pk).update(rider_name="Gone")
    return case


def nothing_is_left() -> bool:
    return not (Case.objects.exists() or Event.objects.exists())


@pytest.mark.parametrize("name, more, data", [
    ("section", ["complaint"], {"complaint.words": "It stops dead", "revision": "0"}),
    ("kept-section", ["complaint"], {"complaint.words": "It stops dead", "revision": "0", "kept~round": "1"}),
    ("contact", [], {"rider_name": "New", "rider_email": ""}), ("changes", [], {"changes": "Springs out"}),
    ("hand-in", [], {}), ("rider-next-round", [], {}), ("withdraw", [], {}), ("show-link", [], {})])
def test_a_rider_is_told_that_it_is_not_there(rider, name, more, data):
    case = soon_gone(rider.case)
    answer = rider.client.post(reverse(name, args=[case.number, *more]), data)
    assert answer.status_code == 404 and "There is no such page here" in answer.content.decode()
    assert nothing_is_left()


@pytest.mark.parametrize("method, address, sent", [
    ("put", "document/", {"document": {"complaint": {"words": "It stops dead"}}}), ("post", "hand-in/", {})])
def test_a_shops_program_is_told_that_it_is_not_there(shop, method, address, sent):
    shown = send(shop, hand_in=False).json()
    soon_gone(Case.objects.get())
    ask = getattr(shop.client, method)
    answer = ask(f"{shown['address']}{address}", json.dumps(sent), content_type="application/json")
    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")
    assert nothing_is_left()


@pytest.mark.parametrize("name, data", [
    ("ask", {"question": "How many turns?", "path": "fork"}), ("next-round", {}), ("fee-quote", {"fee": "80"})])
def test_a_tuner_is_told_that_it_is_not_there(tuner, rider, name, data):
    case = soon_gone(rider.case)
    assert tuner.client.post(reverse(name, args=[case.number]), data).status_code == 404
    assert nothing_is_left()


def test_of_several_ticked_cases_the_others_are_done(tuner, rider, other_rider, monkeypatch):
    hold = services.refuse_held

    def erased_once_held(*, case: Case, **who: Any) -> None:
        hold(case=case, **who)
        if case.pk == rider.case.pk:
            services.erase_case(case=case, typed=case.number)

    monkeypatch.setattr(services, "refuse_held", erased_once_held)
    numbers = [rider.case.number, other_rider.case.number]
    answer = tuner.client.post(reverse("ticked"), {"action": "no reminders", "case": numbers})
    assert [one.words for one in answer.context["done"]] == [
        "There is no such case.", "The rider is not reminded any more."]
