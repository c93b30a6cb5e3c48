"""A shop's own program is told what happens: signed, once for each message, tried again, and never silently lost."""
from __future__ import annotations

import hashlib
import hmac
import json
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from intake import services as cases
from intake.models import Case, KeptAnswer
from reports import services, sweeper
from reports.mail import LATER, Outcome
from reports.models import HookSending, WebHook
from reports.services import hooks
from tests.far_side import FarSide, far_side
from tests.intake.test_the_shops_door import problem, send
from tests.letter_cases import approved_letter, handed_in, use_fake_engine

pytestmark = pytest.mark.django_db
HOOKS = "/api/hooks/"
WANTED = {"address": "https://shop.example/farbench", "events": ["state changed", "letter approved", "question asked"]}


@pytest.fixture
def far(monkeypatch) -> Iterator[FarSide]:
    with far_side(monkeypatch) as running:
        yield running


def add(system: Any, key: str = "", **changes: Any) -> Any:
    headers = {"idempotency-key": key} if key else {}
    return system.client.post(HOOKS, json.dumps(WANTED | changes), content_type="application/json", headers=headers)


def deliver_all() -> list[str]:
    return [services.send_hook(sending_id=pk, worker="w") for pk in HookSending.objects.values_list("pk", flat=True)]


def told() -> list[tuple[str, str]]:
    return [(row.event, json.loads(row.body).get("state", "")) for row in HookSending.objects.order_by("id")]


def test_a_secret_is_shown_once_and_stored_nowhere(shop):
    made, again = add(shop, "h-1"), add(shop, "h-1")
    assert made.status_code == 201 and made.content == again.content
    secret = made.json()["secret"]
    assert secret not in str(list(WebHook.objects.values())) + str(list(KeptAnswer.objects.values()))
    assert "secret" not in str(shop.client.get(HOOKS).json())


@pytest.mark.parametrize("changes, status", [
    ({"address": "http://shop.example/"}, 422), ({"address": "https://10.0.0.1/"}, 422), ({"events": []}, 400),
    ({"events": ["rain"]}, 400), ({"address": 7}, 422), ({"address": "\x00"}, 400)])
def test_an_address_or_event_that_cannot_be_is_refused(shop, changes, status):
    problem(add(shop, **changes), status)
    assert not WebHook.objects.exists()


def test_what_happens_is_told_signed_and_says_nothing_of_the_rider(shop, tuner, far):
    secret = add(shop).json()["secret"]
    number = send(shop, rider_email="rider@riders.example", rider_name="Blue helmet").json()["number"]
    cases.ask_rider(case=Case.objects.get(), question="Which oil?", user=tuner.user)
    assert told() == [("state changed", "handed in"), ("state changed", "needs an answer"),
                      ("question asked", "needs an answer")]
    assert deliver_all() == ["sent"] * 3 and deliver_all() == [""] * 3
    for _, headers, body in far.heard:
        signed = hmac.new(secret.encode(), headers["Farbench-Time"].encode() + b"." + body, hashlib.sha256).hexdigest()
        assert headers["Farbench-Signature"] == signed
        assert json.loads(body)["case"] == number and headers["Farbench-Delivery"] == json.loads(body)["id"]
        assert b"riders.example" not in body and b"Blue helmet" not in body
    assert json.loads(far.heard[-1][2])["question"] == "Which oil?"


def test_an_approved_letter_is_told_and_other_shops_and_riders_are_not(shop, other_shop, monkeypatch):
    add(shop, events=["letter approved"])
    add(other_shop)
    use_fake_engine(monkeypatch)
    approved_letter(handed_in(shop=shop.shop))
    approved_letter(handed_in())
    assert told() == [("letter approved", "advised")]


def test_a_message_is_as_the_apis_description_says(shop, far):
    from drf_spectacular.generators import SchemaGenerator
    from drf_spectacular.validation import validate_schema
    from jsonschema import validate

    described = SchemaGenerator().get_schema(request=None, public=True)
    validate_schema(described)
    message = described["webhooks"]["message"]["post"]
    hook = add(shop).json()["id"]
    send(shop)
    shop.client.post(f"{HOOKS}{hook}/test/")
    assert deliver_all() == ["sent", "sent"]
    for _, headers, body in far.heard:
        validate(json.loads(body), message["requestBody"]["content"]["application/json"]["schema"])
        assert {one["name"] for one in message["parameters"]} <= set(headers)


def test_what_never_happened_is_not_told(shop):
    add(shop)
    problem(send(shop, document={"bike": {"mass_kg": "heavy"}}), 422)
    assert told() == []


def test_no_answer_is_tried_again_with_growing_rests_and_given_up_in_the_end(shop, far):
    add(shop)
    send(shop)
    far.answers = 503
    row, rests = HookSending.objects.get(), []
    for attempt in range(1, hooks.MOST_TRIES + 1):
        state = services.send_hook(sending_id=row.pk, worker="w")
        row.refresh_from_db()
        assert row.attempts == attempt and "503" in row.reason
        if state == "queued":
            rests.append(round((row.not_before - timezone.now()).total_seconds() / 60))
            assert services.send_hook(sending_id=row.pk, worker="w") == ""
            HookSending.objects.update(not_before=timezone.now())
    assert rests == [1, 2, 4, 8, 16, 32, 64, 128] and row.state == "given up"


def test_two_workers_send_it_once(shop, monkeypatch):
    add(shop)
    send(shop)
    pk, inside = HookSending.objects.get().pk, []

    def meanwhile_another_comes(*args: Any) -> Outcome:
        inside.append(services.send_hook(sending_id=pk, worker="other"))
        return Outcome(LATER, "later")

    monkeypatch.setattr(hooks, "far_post", meanwhile_another_comes)
    assert services.send_hook(sending_id=pk, worker="one") == "queued" and inside == [""]


def test_a_worker_that_vanished_is_noticed_and_the_message_goes_out_again(shop, far):
    add(shop)
    send(shop)
    HookSending.objects.update(state="sending", attempts=1, claimed_by="gone",
                               claimed_until=timezone.now() - timedelta(seconds=1))
    sweeper.sweep()
    HookSending.objects.update(not_before=None)
    assert deliver_all() == ["sent"]


def test_what_arrived_is_forgotten_after_a_month_and_what_did_not_is_kept(shop, far):
    add(shop)
    send(shop)
    long_ago = timezone.now() - timedelta(days=31)
    for state, left in (("given up", 1), ("sent", 0)):
        HookSending.objects.update(state=state, sent_at=long_ago, created_at=long_ago)
        sweeper.sweep()
        assert HookSending.objects.count() == left


def test_whatever_breaks_on_the_way_is_written_down_and_tried_again(shop, monkeypatch):
    add(shop)
    send(shop)
    monkeypatch.setattr(hooks, "far_post", lambda *args: 1 / 0)
    assert deliver_all() == ["queued"] and "ZeroDivisionError" in HookSending.objects.get().reason


def test_what_is_dead_is_listed_and_sent_again_by_shop_or_tuner_alone(shop, other_shop, counter, tuner, far):
    add(shop)
    send(shop)
    HookSending.objects.update(state="given up", attempts=9, reason="It answered 503.")
    row = HookSending.objects.get()
    again = f"{HOOKS}messages/{row.pk}/again/"
    assert [one["id"] for one in shop.client.get(f"{HOOKS}messages/?state=given+up").json()["results"]] == [row.pk]
    assert other_shop.client.get(f"{HOOKS}messages/").json()["results"] == []
    problem(other_shop.client.post(again), 404)
    assert shop.client.post(again).json()["state"] == "queued"
    problem(shop.client.post(again), 409)
    for person, page, button in ((counter, "shop-hooks", "shop-hook-again"), (tuner, "desk-shops", "desk-hook-again")):
        HookSending.objects.update(state="failed", reason="It answered 410.")
        assert "It answered 410." in person.client.get(reverse(page)).content.decode()
        assert person.client.post(reverse(button, args=[row.pk])).status_code == 302
        row.refresh_from_db()
        assert row.state == "queued"
    assert deliver_all() == ["sent"]


def test_a_test_message_arrives_and_an_ended_hook_is_told_nothing(shop, far):
    hook = add(shop).json()["id"]
    assert shop.client.post(f"{HOOKS}{hook}/test/").status_code == 201
    assert deliver_all() == ["sent"] and json.loads(far.heard[0][2])["event"] == "test"
    assert shop.client.delete(f"{HOOKS}{hook}/").status_code == 204
    problem(shop.client.post(f"{HOOKS}{hook}/test/"), 404)
    send(shop)
    assert HookSending.objects.count() == 1


def test_a_hook_that_is_ended_while_a_message_is_on_its_way_is_not_tried_again(shop, far):
    hook = add(shop).json()["id"]
    send(shop)
    HookSending.objects.update(state="sending", attempts=1)
    assert shop.client.delete(f"{HOOKS}{hook}/").status_code == 204
    HookSending.objects.update(state="queued")  # as the worker does whose try has failed meanwhile
    assert deliver_all() == ["given up"] and far.heard == []


def test_at_the_counter_an_address_is_added_tried_and_ended(counter, other_counter):
    address = reverse("shop-hooks")
    made = counter.client.post(address, WANTED).content.decode()
    assert "cannot be shown again" in made and "<code>" in made
    refused = counter.client.post(address, WANTED | {"address": "https://192.168.0.9/"})
    assert refused.status_code == 422 and "https://192.168.0.9/" in refused.content.decode()
    hook = WebHook.objects.get()
    for name in ("shop-hook-try", "shop-hook-end"):
        assert other_counter.client.post(reverse(name, args=[hook.pk])).status_code == 404
        assert counter.client.post(reverse(name, args=[hook.pk])).status_code == 302
    assert HookSending.objects.get().state == "given up"
    assert counter.client.get(address).status_code == 200


def test_a_tuner_makes_a_sign_in_for_a_shop_and_switches_it_off(tuner, shop):
    address = reverse("desk-shops")
    made = tuner.client.post(address, {"shop": shop.shop.name, "username": "dora"}).content.decode()
    assert "cannot be shown again" in made and "dora" in tuner.client.get(address).content.decode()
    assert tuner.client.post(address, {"shop": shop.shop.name, "username": "dora"}).status_code == 409
    tuner.client.post(reverse("desk-shop-end"), {"shop": shop.shop.name, "username": "dora"})
    assert "switched off" in tuner.client.get(address).content.decode()
