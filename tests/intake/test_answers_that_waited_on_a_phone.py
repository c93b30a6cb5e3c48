"""A page that waited without a signal is saved whole, or set beside what another device changed meanwhile."""
from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from intake import services
from intake.models import Event
from intake.paths import at_path
from tests.intake.rider_pages import Rider

pytestmark = pytest.mark.django_db
TRAVEL, FEEL = "bench.travel.used_mm", "bench.travel.end_feel"


@pytest.fixture
def rider() -> Rider:
    return Rider()


def door(rider: Rider) -> dict[str, Any]:
    return rider.client.get(rider.url("kept")).json()


def send(rider: Rider, revision: int, answers: dict[str, str], name: str = "travel", kind: str = "kept-test",
         round: int = 1) -> Any:
    return rider.client.post(rider.url(kind, name), {"revision": revision, "kept~round": round} | answers)


def stands(rider: Rider, path: str) -> Any:
    raw = at_path(rider.document, path)[1]
    return raw.get("value") if isinstance(raw, dict) else raw


def test_a_page_that_waited_is_saved(rider):
    answer = send(rider, door(rider)["revision"], {TRAVEL: "101"})
    assert answer.status_code == 200 and answer.json() == {"revision": 1, "look": 0}
    assert stands(rider, TRAVEL) == "101"


def test_sent_twice_is_saved_once(rider):
    first, again = (send(rider, 0, {TRAVEL: "101"}) for _ in range(2))
    assert first.json() == again.json() and rider.case.current_round.revision == 1


def test_two_devices_that_differ_are_set_side_by_side_and_nothing_is_saved(rider):
    rider.measure("travel", **{TRAVEL: "98"})
    answer = send(rider, 0, {TRAVEL: "101"})
    assert answer.status_code == 409 and stands(rider, TRAVEL) == "98"
    said = answer.json()
    assert said["revision"] == 1 and [clash["path"] for clash in said["clashes"]] == [TRAVEL]
    assert said["clashes"][0]["phone"].startswith("101") and said["clashes"][0]["case"].startswith("98")
    assert said["clashes"][0]["title"]


def test_what_the_person_picks_is_saved_with_what_they_had_seen(rider):
    rider.measure("travel", **{TRAVEL: "98"})
    seen = send(rider, 0, {TRAVEL: "101"}).json()["revision"]
    assert send(rider, seen, {TRAVEL: "101"}).status_code == 200 and stands(rider, TRAVEL) == "101"
    assert Event.objects.filter(detail__changes__has_key=TRAVEL).last().detail["changes"][TRAVEL]["was"]


def test_an_answer_taken_away_elsewhere_clashes_too(rider):
    rider.measure("travel", **{TRAVEL: "98"})
    rider.measure("travel", **{TRAVEL: ""})
    answer = send(rider, 1, {TRAVEL: "101"})
    assert answer.status_code == 409 and answer.json()["clashes"][0]["case"] == ""


def test_an_answer_that_the_other_device_made_unnecessary_is_set_side_by_side_as_well(rider):
    kind, changes = "fork.left.spring.kind", "fork.left.spring.changes_at_mm"
    rider.save("springs", **{kind: "two rates"})
    before = rider.case.current_round.revision
    rider.save("springs", **{changes: "90"})
    rider.save("springs", **{kind: "linear"})
    answer = send(rider, before, {kind: "two rates", changes: "85"}, name="springs", kind="kept-section")
    assert answer.status_code == 409 and [clash["path"] for clash in answer.json()["clashes"]] == [changes]


def test_what_this_phone_did_not_touch_does_not_undo_what_another_changed(rider):
    rider.measure("travel", **{TRAVEL: "98", FEEL: "clank"})
    rider.measure("travel", **{TRAVEL: "101"})
    assert send(rider, 1, {TRAVEL: "98", FEEL: "soft"}).status_code == 200
    assert (stands(rider, TRAVEL), stands(rider, FEEL)) == ("101", "soft")


def test_a_faulty_answer_is_kept_and_asked_to_be_looked_at(rider):
    answer = send(rider, 0, {TRAVEL: "a lot"})
    assert answer.status_code == 200 and answer.json()["look"] > 0 and stands(rider, TRAVEL) == "a lot"


def test_an_answer_that_is_too_long_is_refused_before_anything_is_saved(rider):
    answer = send(rider, 0, {"complaint.words": "x" * 20_001}, "complaint", "kept-section")
    assert answer.status_code == 422 and answer.json()["mend"] and rider.document == {}


def test_a_round_that_is_handed_in_or_another_one_takes_nothing_and_says_so(rider):
    assert "another round" in send(rider, 0, {TRAVEL: "101"}, round=2).json()["problem"]
    rider.complain()
    services.hand_in(round=rider.case.current_round, who="rider")
    answer = send(rider, 1, {TRAVEL: "101"})
    assert answer.status_code == 409 and "handed in" in answer.json()["problem"] and "clashes" not in answer.json()
    assert door(rider)["open"] is False


def test_the_door_names_every_page_of_the_case(rider):
    said = door(rider)
    assert (said["round"], said["revision"], said["open"]) == (1, 0, True)
    assert rider.url("case-page") in said["pages"] and rider.url("bench-test", "travel") in said["pages"]
    assert all(rider.client.get(page).status_code == 200 for page in said["pages"])


def test_a_stale_key_is_refused_and_the_fresh_one_from_the_door_is_taken(rider):
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = rider.client.cookies
    body = {"revision": 0, "kept~round": 1, TRAVEL: "101"}
    assert strict.post(rider.url("kept-test", "travel"), body).status_code == 403
    token = strict.get(rider.url("kept")).json()["token"]
    answer = strict.post(rider.url("kept-test", "travel"), body, headers={"X-CSRFToken": token})
    assert answer.status_code == 200


def test_what_is_not_yours_does_not_exist(rider):
    other = Rider()
    assert other.client.get(rider.url("kept")).status_code == 404
    answer = other.client.post(rider.url("kept-test", "travel"), {"revision": 0, "kept~round": 1, TRAVEL: "1"})
    assert answer.status_code == 404 and rider.document == {}
    assert rider.client.post(reverse("kept-section", args=[rider.number, "nowhere"])).status_code == 404


def test_a_page_that_is_laid_down_uses_up_no_message(rider):
    rider.complain()
    url = rider.url("section", "bike")
    assert "Saved" not in rider.client.get(url + "?keep=1").content.decode()
    assert "Saved" in rider.client.get(url).content.decode()


def test_the_worker_reaches_no_further_than_a_case_and_knows_no_page_by_itself(rider):
    answer = rider.client.get(reverse("offline-worker"))
    script = answer.content.decode()
    assert answer["Content-Type"].startswith("text/javascript") and "no-cache" in answer["Cache-Control"]
    assert rider.number not in script and "registration.scope" in script
