"""Through the API a shop adds photos before it hands in, reads every round, and opens the next one."""
from __future__ import annotations

import io
import json
from typing import Any

import pytest
from PIL import Image

from intake.models import Case, Photo
from tests.intake.test_the_shops_door import CASES, DOCUMENT, problem, send

pytestmark = pytest.mark.django_db


def picture(kind: str = "JPEG") -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (40, 30), "grey").save(made, kind)
    return made.getvalue()


def post(system: Any, address: str, body: bytes = b"", kind: str = "image/jpeg", **headers: str) -> Any:
    return system.client.post(address, body, content_type=kind, headers=headers)


@pytest.fixture
def opened(shop: Any) -> str:
    """The address of a case that is not handed in yet."""
    shown = send(shop, hand_in=False).json()
    assert shown["state"] == "collecting"
    return str(shown["address"])


def test_photos_are_added_then_the_case_is_handed_in(shop, opened):
    added = post(shop, f"{opened}photos/?place=look&caption=Left+tube", picture("PNG"))
    assert added.status_code == 201 and added["Location"] == added.json()["address"]
    assert shop.client.get(f"{opened}photos/").json() == [added.json()]
    seen = shop.client.get(added.json()["address"])
    assert seen["Content-Type"] == "image/jpeg" and b"".join(seen.streaming_content)[:2] == b"\xff\xd8"
    for _ in range(2):
        assert shop.client.post(f"{opened}hand-in/").json()["state"] == "handed in"
    problem(post(shop, f"{opened}photos/?place=look", picture()), 409)
    whole = shop.client.get(f"{opened}rounds/1/").json()
    assert whole["document"] == DOCUMENT and whole["photos"] == [added.json()] and whole["handed_in_at"]


def test_a_job_kept_open_is_handed_in_by_the_same_job_to_be_handed_in_and_by_no_other(shop, opened):
    assert send(shop, hand_in=False).json()["state"] == "collecting"
    for _ in range(2):
        again = send(shop)
        assert (again.status_code, again.json()["state"], again.json()["address"]) == (200, "handed in", opened)
    Case.objects.update(state="advised")
    post(shop, f"{opened}rounds/", b"{}", "application/json")
    assert send(shop).json()["state"] == "collecting"  # a late repeat of the first hands no second round in


def test_a_photo_sent_twice_with_one_key_is_there_once(shop, opened):
    answers = [post(shop, f"{opened}photos/?place=look", picture(), **{"idempotency-key": "p-1"}) for _ in range(2)]
    assert answers[0].content == answers[1].content and Photo.objects.count() == 1
    problem(post(shop, f"{opened}photos/?place=look", picture("PNG"), **{"idempotency-key": "p-1"}), 422)


@pytest.mark.parametrize("query, body, kind, status", [
    ("place=look", b"not a picture", "image/jpeg", 409), ("place=nowhere", b"x", "image/png", 409),
    ("", b"x", "image/png", 409), ("place=look", b"", "image/jpeg", 400),
    ("place=look", b"{}", "application/json", 415),
    ("place=look%00&caption=%00&path=%00", b"x", "image/jpeg", 409)])
def test_what_is_no_photo_is_told_so(shop, opened, query, body, kind, status):
    problem(post(shop, f"{opened}photos/?{query}", body, kind), status)
    assert not Photo.objects.exists()


def test_a_photo_is_taken_away_while_the_round_is_open(shop, other_shop, opened):
    address = post(shop, f"{opened}photos/?place=look", picture()).json()["address"]
    for way in (other_shop.client.get, other_shop.client.delete):
        problem(way(address), 404)
    assert shop.client.delete(address).status_code == 204
    problem(shop.client.get(address), 404)


def test_a_document_with_faults_is_not_kept_open_either(shop):
    problem(send(shop, hand_in=False, document={"bike": {"mass_kg": "heavy"}}), 422)
    assert not Case.objects.exists()


def test_the_next_round_is_opened_with_what_was_done_and_handed_in_with_its_document(shop):
    shown = send(shop).json()
    Case.objects.update(state="advised")
    body = json.dumps({"done": "differently", "changes": "Level set to 140 mm, springs out."})
    made = post(shop, f"{shown['address']}rounds/", body.encode(), "application/json")
    assert (made.status_code, made.json()["number"], made.json()["done"]) == (201, 2, "differently")
    answer = shop.client.put(f"{shown['address']}document/", json.dumps({"document": DOCUMENT}),
                             content_type="application/json")
    assert (answer.json()["state"], answer.json()["round"]) == ("handed in", 2)
    listed = shop.client.get(f"{shown['address']}rounds/").json()
    assert [one["number"] for one in listed] == [1, 2] and listed[1]["changes"].startswith("Level set")


@pytest.mark.parametrize("again", [{}, {"done": "", "changes": " "}, {"done": "exactly"}])
def test_the_next_round_asked_for_again_takes_nothing_back_of_what_was_said(shop, again):
    shown = send(shop).json()
    Case.objects.update(state="advised")
    said = {"done": "exactly", "changes": "Level set to 140 mm."}
    for body in (said, again):
        made = post(shop, f"{shown['address']}rounds/", json.dumps(body).encode(), "application/json")
        assert made.status_code == 201
        assert said.items() <= made.json().items()


def test_a_round_out_of_its_time_is_a_conflict_and_a_strange_one_does_not_exist(shop, other_shop):
    shown = send(shop).json()
    problem(post(shop, f"{shown['address']}rounds/", b"{}", "application/json"), 409)
    for number in (2, 10**30):
        problem(shop.client.get(f"{shown['address']}rounds/{number}/"), 404)
    problem(other_shop.client.get(f"{shown['address']}rounds/"), 404)


@pytest.mark.parametrize("method, address, status", [
    ("get", "/api/nothing/", 404), ("delete", CASES, 405), ("post", "/api/docs/", 405), ("put", "/api/schema/", 405),
    ("post", "/api/cases", 404), ("get", f"{CASES}?cursor=cD1hYmM=", 404), ("get", f"{CASES}?size=many", 400),
    ("get", f"{CASES}?jobs=W-1", 400), ("post", "/api/tables/?dryrun=true", 400)])
def test_every_answer_below_the_api_that_is_no_success_is_a_problem(shop, method, address, status):
    problem(getattr(shop.client, method)(address), status)


def test_a_host_that_is_not_ours_is_answered_with_a_problem_too(shop):
    problem(shop.client.get(CASES, headers={"host": "elsewhere.example"}), 400)
