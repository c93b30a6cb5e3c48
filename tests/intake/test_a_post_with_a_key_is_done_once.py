"""The same POST with the same Idempotency-Key is done once and answered alike; other requests do not get its answer."""
from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from intake import once, photo_making, photos
from intake.models import Case, Event, KeptAnswer, Photo, PhotoUpload, ShopToken
from intake.services.shops import new_shop_token
from reports.models import WebHook
from tests.intake.test_a_shop_sends_rounds_and_photos import picture
from tests.intake.test_the_shops_door import CASES, DOCUMENT, problem, send

pytestmark = pytest.mark.django_db


def post(system: Any, address: str = CASES, body: Any = None, key: str = "k-1") -> Any:
    sent = {"job": "W-1", "document": DOCUMENT} if body is None else body
    return system.client.post(address, json.dumps(sent), content_type="application/json",
                              headers={"Idempotency-Key": key})


def test_the_same_request_gets_the_same_answer_byte_for_byte(shop):
    first, again = post(shop), post(shop)
    assert (first.status_code, again.status_code) == (201, 201)
    assert (first.content, first["Location"]) == (again.content, again["Location"])
    assert Case.objects.count() == 1


def test_a_refusal_is_given_again_too(shop):
    bad = {"job": "W-1", "document": {"bike": {"mass_kg": "heavy"}}}
    first, again = post(shop, body=bad), post(shop, body=bad)
    problem(again, 422)
    assert first.content == again.content


def test_the_key_with_another_body_or_address_is_refused(shop):
    number = post(shop).json()["number"]
    for address, body in ((CASES, {"job": "W-2", "document": DOCUMENT}), (f"{CASES}{number}/rounds/", {})):
        assert "another request" in problem(post(shop, address, body), 422)["detail"]
    assert Case.objects.count() == 1


def test_another_shop_may_use_the_same_key(shop, other_shop):
    assert post(shop).json()["number"] != post(other_shop).json()["number"]


def test_of_two_at_once_one_is_done_and_the_other_told_to_wait(shop, monkeypatch):
    inside = []
    real = once._answer

    def meanwhile_the_other_comes(*args: Any) -> Any:
        if not inside:
            inside.append(post(shop))
        return real(*args)

    monkeypatch.setattr(once, "_answer", meanwhile_the_other_comes)
    first = post(shop)
    assert first.status_code == 201 and Case.objects.count() == 1
    assert inside[0]["Retry-After"] and "worked on" in problem(inside[0], 409)["detail"]
    assert post(shop).content == first.content


def test_a_request_that_vanished_on_the_way_can_be_sent_again(shop, monkeypatch):
    KeptAnswer.objects.create(shop=shop.shop, key="k-1", request_hash="?", salt="s",
                              claimed_until=timezone.now() - timedelta(seconds=1))
    printed = []
    real = once._print_of
    monkeypatch.setattr(once, "_print_of", lambda *args: printed.append(real(*args)) or printed[-1])
    problem(post(shop), 422)
    KeptAnswer.objects.update(request_hash=printed[-1])
    assert post(shop).status_code == 201


def test_a_failure_of_ours_is_not_kept(shop, monkeypatch):
    from intake import services

    monkeypatch.setattr(services, "hand_in_job", lambda **named: 1 / 0)
    shop.client.raise_request_exception = False
    problem(post(shop), 500)
    monkeypatch.undo()
    assert post(shop).status_code == 201


def test_after_a_day_the_key_is_free_again(shop):
    post(shop)
    KeptAnswer.objects.update(created_at=timezone.now() - timedelta(hours=24, minutes=1))
    assert post(shop, body={"job": "W-2", "document": DOCUMENT}).status_code == 201
    KeptAnswer.objects.update(created_at=timezone.now() - timedelta(hours=24, minutes=1))
    once.sweep_answers()
    assert not KeptAnswer.objects.exists()


def test_a_kept_answer_about_a_case_goes_with_the_case_and_the_request_makes_no_new_one(shop):
    from intake.services import erase_case

    other = post(shop, body={"job": "W-2", "document": DOCUMENT}, key="k-2")
    number = post(shop).json()["number"]
    erase_case(case=Case.objects.get(number=number), typed=number)
    assert number not in str(list(KeptAnswer.objects.values())) and "erased" in problem(post(shop), 409)["detail"]
    assert not Case.objects.filter(shop_job="W-1").exists()
    assert post(shop, body={"job": "W-2", "document": DOCUMENT}, key="k-2").content == other.content


@pytest.mark.parametrize("key", ["", " ", "x" * 201])
def test_a_key_that_cannot_be_used_is_told_so(shop, key):
    problem(post(shop, key=key), 400)


def test_a_rotated_token_is_shown_again_to_the_same_request_and_stored_nowhere(shop):
    first, again = (post(shop, "/api/tokens/rotate/", {}) for _ in range(2))
    assert first.status_code == 201 and first.content == again.content
    assert ShopToken.objects.count() == 2
    stored = str(list(KeptAnswer.objects.values())) + str(list(ShopToken.objects.values()))
    assert first.json()["token"] not in stored


def test_another_token_of_the_shop_is_not_shown_what_the_first_was_renewed_to(shop):
    secret = post(shop, "/api/tokens/rotate/", {}).json()["token"]
    reads = new_shop_token(shop_name=shop.shop.name, name="reads", scope="read")
    other = Client(headers={"authorization": f"Token {reads}"}).post(
        "/api/tokens/rotate/", "{}", content_type="application/json", headers={"Idempotency-Key": "k-1"})
    assert "another request" in problem(other, 422)["detail"] and secret not in other.content.decode()


class Killed(BaseException):
    """The process is ended from outside; no code of ours goes on after it."""


def killed_at(monkeypatch: Any, where: Any, name: str, sending: Any) -> None:
    """Send a request whose process is ended where ``name`` would begin; its claim on the key has run out since."""
    def kill(*args: Any, **named: Any) -> None:
        raise Killed

    monkeypatch.setattr(where, name, kill)
    monkeypatch.setattr(once, "_settle", kill)
    with pytest.raises(Killed):
        sending()
    monkeypatch.undo()
    KeptAnswer.objects.update(claimed_until=timezone.now() - timedelta(seconds=1))


def photo(system: Any, address: str) -> Any:
    return system.client.post(f"{address}photos/?place=look", picture(), content_type="image/jpeg",
                              headers={"Idempotency-Key": "p-1"})


@pytest.mark.parametrize("where, name", [
    (photo_making, "add_photo"), (photo_making, "make_photo"), (once, "_settle")])
def test_a_photo_whose_process_died_over_it_is_there_once(shop, monkeypatch, where, name):
    address = send(shop, hand_in=False).json()["address"]
    killed_at(monkeypatch, where, name, lambda: photo(shop, address))
    answers = [photo(shop, address) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 201] and answers[0].content == answers[1].content
    assert (Photo.objects.count(), PhotoUpload.objects.count()) == (1, 1)
    assert Event.objects.filter(what="Photo added.").count() == 1


def test_a_photo_cut_off_half_way_in_is_taken_in_anew(shop, monkeypatch):
    from intake import photo_pieces

    address = send(shop, hand_in=False).json()["address"]
    killed_at(monkeypatch, photo_pieces, "finish_upload", lambda: photo(shop, address))
    assert photo(shop, address).status_code == 201
    assert (Photo.objects.count(), PhotoUpload.objects.count()) == (1, 1)


def test_a_photo_that_another_process_still_holds_is_asked_for_a_little_later(shop, monkeypatch):
    address = send(shop, hand_in=False).json()["address"]
    killed_at(monkeypatch, photos, "fresh_jpeg", lambda: photo(shop, address))
    assert problem(photo(shop, address), 503) and not Photo.objects.exists()
    PhotoUpload.objects.update(claimed_until=timezone.now() - timedelta(seconds=1))
    photo_making.make_photo(upload_id=PhotoUpload.objects.get().pk)  # the sweep's bell
    assert photo(shop, address).json()["id"] == Photo.objects.get().pk


def test_a_photo_sent_without_a_key_is_a_photo_each_time(shop):
    address = send(shop, hand_in=False).json()["address"]
    for _ in range(2):
        shop.client.post(f"{address}photos/?place=look", picture(), content_type="image/jpeg")
    assert Photo.objects.count() == 2


def test_a_token_whose_process_died_after_making_it_is_shown_all_the_same(shop, monkeypatch):
    def rotate() -> Any:
        return post(shop, "/api/tokens/rotate/", {"overlap_hours": 2})

    killed_at(monkeypatch, once, "_settle", rotate)
    made = rotate()
    assert made.status_code == 201 and ShopToken.objects.count() == 2
    assert shop.client.get(CASES, headers={"authorization": f"Token {made.json()['token']}"}).status_code == 200


def test_a_web_hook_whose_process_died_after_keeping_it_is_there_once(shop, monkeypatch):
    def add() -> Any:
        return post(shop, "/api/hooks/", {"address": "https://shop.example/", "events": ["state changed"]})

    killed_at(monkeypatch, once, "_settle", add)
    assert add().json()["id"] == WebHook.objects.get().pk
