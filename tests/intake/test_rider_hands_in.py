"""The check page shows everything at a glance; the hand-in happens once and leads to a receipt."""
from __future__ import annotations

import pytest

from intake import services
from intake.models import WorkOrder
from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def rider():
    rider = Rider()
    rider.complain()
    return rider


def test_the_check_page_lists_every_fault_with_a_link_to_its_field(rider):
    rider.save("bike", bike__mass_kg="9999", bike__rake_deg="steep")
    page = rider.read("check")
    assert f'{rider.url("section", "bike")}#bike-mass_kg' in page
    assert f'{rider.url("section", "bike")}#bike-rake_deg' in page
    assert "2 answers to look at again" in words_of(page)


def test_handing_in_with_a_fault_is_refused_with_the_same_list(rider):
    rider.save("bike", bike__mass_kg="9999")
    answer = rider.client.post(rider.url("hand-in"))
    assert answer.status_code == 422
    assert "Not handed in yet: 1 answer" in words_of(answer.content.decode())
    assert not WorkOrder.objects.exists()


def test_an_empty_case_is_told_what_it_lacks():
    rider = Rider()
    answer = rider.client.post(rider.url("hand-in"))
    assert answer.status_code == 422
    assert f'{rider.url("section", "complaint")}#complaint-words' in answer.content.decode()


def test_a_document_with_fifty_faults_names_them_all(rider):
    answers = {f"fork.{side}.{name}": "many" for side in ("left", "right") for name in (
        "stanchion_diameter_mm", "bore_diameter_mm", "oil_level_mm", "oil_level_book_mm", "oil_volume_ml",
        "oil_volume_book_ml", "drained_ml", "steel_volume_ml", "cap_intrusion_ml", "gauge_pressure_bar",
        "spring.rate_n_per_mm", "spring.free_length_mm", "spring.wire_diameter_mm", "spring.coil_mean_diameter_mm",
        "spring.total_coils", "spring.active_coils", "preload_fixed_mm", "preload_turns_in", "preload_turns_range",
        "preload_pitch_mm_per_turn", "rebound.clicks_out", "rebound.clicks_range", "compression.clicks_out",
        "compression.clicks_range", "inner_parts_area_mm2")} | {"fork.damper": "open cartridge"}
    services.save_answers(round=rider.case.current_round, answers=answers)
    page = rider.client.post(rider.url("hand-in")).content.decode()
    assert "50 answers to look at again" in words_of(page)
    for path in answers.keys() - {"fork.damper"}:
        assert f'#{path.replace(".", "-")}"' in page


def test_a_doubled_click_makes_one_order_and_comes_to_the_same_receipt(rider):
    first, second = (rider.client.post(rider.url("hand-in")) for _ in range(2))
    assert first.url == second.url == rider.url("received")
    assert WorkOrder.objects.count() == 1
    assert rider.number in words_of(rider.read("received"))


def test_after_the_hand_in_the_pages_show_the_answers_and_no_form(rider):
    rider.client.post(rider.url("hand-in"))
    assert rider.client.get(rider.url("section", "complaint")).url == rider.url("check")
    page = rider.read("check")
    assert "It stops hard two thirds down." in page and "Hand in" not in words_of(page)


def test_a_tuners_question_leads_right_to_the_page_and_the_answer_is_handed_in_again(rider, tuner):
    rider.client.post(rider.url("hand-in"))
    services.ask_rider(case=rider.case, question="Was the spring out when you measured?", path="oil", user=tuner.user)
    page = rider.read("case-page")
    assert "Was the spring out when you measured?" in page and rider.url("bench-test", "oil") in page
    rider.measure("oil", bench__oil__condition="extended spring out")
    rider.client.post(rider.url("hand-in"))
    assert rider.case.state == "handed in"
    assert "Was the spring out" not in rider.read("case-page")


def test_the_letter_and_the_next_round_are_offered_once_it_is_out(rider, tuner):
    rider.client.post(rider.url("hand-in"))
    assert rider.url("letter") not in rider.read("case-page")
    order = WorkOrder.objects.get()
    services.record_assessment(order=order, summary={}, stop=False)
    services.mark_advised(case=rider.case, user=tuner.user)
    assert rider.url("letter") in rider.read("case-page")
    answer = rider.client.post(rider.url("rider-next-round"))
    assert answer.url == rider.url("changes")
    rider.client.post(rider.url("changes"), {"changes": "Took 100 ml out of each leg."})
    assert rider.case.current_round.number == 2
    assert rider.case.current_round.changes == "Took 100 ml out of each leg."
    assert rider.document["complaint"]["words"] == "It stops hard two thirds down."


def test_withdrawing_asks_first(rider):
    assert "Withdraw this case?" in rider.read("withdraw")
    assert rider.case.state == "collecting"
    rider.client.post(rider.url("withdraw"))
    assert rider.case.state == "withdrawn"
    assert "Withdrawn" in rider.read("case-page")


@pytest.mark.parametrize("name", ["hand-in", "rider-next-round"])
def test_what_changes_something_is_never_done_by_opening_a_page(rider, name):
    assert rider.client.get(rider.url(name)).status_code == 405
    assert rider.case.state == "collecting"
