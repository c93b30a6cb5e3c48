"""A returning rider: old answers are offered, each is confirmed, and nothing is ever carried over silently."""
from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from intake import services
from intake.models import Case
from intake.services.offering import open_offers
from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db
OLD = {
    "complaint.words": "It dives.", "bike.description": "Red scrambler",
    "rider.mass_kg": {"value": "82", "known": "measured"}, "fork.travel_mm": "140",
    "safety.crack_or_crease": False, "bench.sag.extended_mm": "120",
    "service.notes": "Oil changed in May", "use.luggage_kg": "10", "bike.mass_kg": {"known": "unknown"},
}


@pytest.fixture
def old(rider) -> Case:
    services.save_answers(round=rider.case.current_round, answers=OLD)
    return rider.case


def started(rider, earlier: str = "") -> Case:
    answer = rider.client.post(reverse("case-start"), {"rider_name": "R", "earlier": earlier})
    return Case.objects.get(number=answer.url.strip("/").split("/")[0])


def address(case: Case) -> str:
    return reverse("earlier", args=[case.number])


def test_the_same_bike_offers_bike_rider_and_fork_and_nothing_else(rider, old):
    new = started(rider, f"same:{old.number}")
    round = new.current_round
    assert round.document == {}
    assert set(round.offered["answers"]) == {"bike.description", "rider.mass_kg", "fork.travel_mm"}
    assert (round.offered["case"], round.offered["same_bike"]) == (old.number, True) and round.offered["date"]


def test_another_bike_offers_the_person_alone(rider, old):
    assert set(started(rider, f"other:{old.number}").current_round.offered["answers"]) == {"rider.mass_kg"}


def test_who_begins_afresh_is_offered_nothing_and_can_ask_for_it_later(rider, old):
    new = started(rider)
    assert new.current_round.offered == {}
    assert address(new) in rider.client.get(reverse("case-page", args=[new.number])).content.decode()
    rider.client.post(address(new), {"earlier": f"same:{old.number}"})
    assert new.current_round.offered["case"] == old.number


def test_the_start_page_asks_only_who_was_here_before(rider, old, stranger):
    assert "Have you been here before?" in rider.client.get(reverse("case-start")).content.decode()
    assert "Have you been here before?" not in stranger.client.get(reverse("case-start")).content.decode()


def test_it_is_shown_from_which_case_and_day_and_counts_only_when_ticked(rider, old):
    new = started(rider, f"same:{old.number}")
    page = words_of(rider.client.get(address(new)).content.decode())
    assert f"You told us this in case {old.number}" in page and "Still right?" in page and "140 mm" in page
    assert new.current_round.document == {}
    rider.client.post(address(new), {"right": ["fork.travel_mm"], "changes": "New springs."})
    round = new.current_round
    assert round.document == {"fork": {"travel_mm": "140"}} and round.changes == "New springs."
    assert set(open_offers(round)) == {"bike.description", "rider.mass_kg"}


def test_what_is_left_can_be_forgotten(rider, old):
    new = started(rider, f"same:{old.number}")
    rider.client.post(address(new), {"right": ["bike.description"], "forget": "1"})
    round = new.current_round
    assert round.document == {"bike": {"description": "Red scrambler"}} and not open_offers(round)


def test_a_path_that_was_not_offered_is_not_taken(rider, old):
    new = started(rider, f"other:{old.number}")
    rider.client.post(address(new), {"right": ["bench.sag.extended_mm", "complaint.words", "no.such"]})
    assert new.current_round.document == {}


def test_a_newer_answer_is_never_replaced(rider, old):
    new = started(rider, f"same:{old.number}")
    services.save_answers(round=new.current_round, answers={"fork.travel_mm": "150"})
    rider.client.post(address(new), {"right": ["fork.travel_mm"]})
    assert new.current_round.document["fork"]["travel_mm"] == "150"


def test_unconfirmed_offers_are_not_handed_in(rider, old):
    new = started(rider, f"same:{old.number}")
    round = services.save_answers(round=new.current_round, answers={"complaint.words": "Knocks."})
    services.hand_in(round=round, who="rider")
    new.refresh_from_db()
    assert new.current_round.document == {"complaint": {"words": "Knocks."}}
    assert rider.client.post(address(new), {"right": ["fork.travel_mm"]}).status_code == 302
    assert "fork" not in new.current_round.document


@pytest.mark.parametrize("how", ["same", "other"])
def test_somebody_elses_case_is_never_offered(rider, other_rider, old, how):
    new = started(other_rider, f"{how}:{old.number}")
    assert new.current_round.offered == {}


def test_what_was_done_is_asked_and_kept(rider):
    Case.objects.filter(pk=rider.case.pk).update(state=Case.State.ADVISED)
    rider.case.refresh_from_db()
    services.open_next_round(case=rider.case, who="rider")
    page = reverse("changes", args=[rider.case.number])
    assert "Done exactly as the letter says" in rider.client.get(page).content.decode()
    rider.client.post(page, {"done": "differently", "changes": "Only the left leg."})
    round = rider.case.current_round
    assert (round.done, round.changes) == ("differently", "Only the left leg.")
    rider.client.post(page, {"done": "nonsense", "changes": "Only the left leg."})
    assert rider.case.current_round.done == "differently"


@pytest.mark.parametrize("zone, kept", [("Europe/Madrid", "Europe/Madrid"), ("No/Such", ""), ("../x", ""), ("", "")])
def test_the_browsers_time_zone_is_kept_where_there_is_such_a_one(client, db, zone, kept):
    client.post(reverse("case-start"), {"rider_name": "R", "time_zone": zone})
    assert Case.objects.get().rider_time_zone == kept


def test_words_that_are_too_long_to_keep_stay_on_the_page(rider, old):
    new = started(rider, f"same:{old.number}")
    answer = rider.client.post(address(new), {"right": [], "changes": "New springs. " * 2000})
    assert answer.status_code == 409 and "New springs. New springs." in answer.content.decode()


def test_name_and_address_of_the_last_case_stand_in_the_next_ones_form_and_in_nobody_elses():
    known = Rider(email="rider@example.org")
    form = reverse("case-start")
    assert 'value="rider@example.org"' in known.client.get(form).content.decode()
    assert "rider@example.org" not in Client().get(form).content.decode()
