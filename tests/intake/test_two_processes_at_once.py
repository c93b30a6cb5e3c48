"""Two processes at the same moment, for real: needs a database server, where writers truly overlap."""
from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from intake import services
from intake.errors import Refused
from intake.models import Case, Event, KeptAnswer, Photo, Round, Shop, WorkOrder
from intake.question_mail import mail_question
from tests.intake.test_a_shop_sends_rounds_and_photos import picture

pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]
TOGETHER = 6


@pytest.fixture(autouse=True)
def a_server(transactional_db: None) -> None:
    if connection.vendor == "sqlite":
        pytest.skip("writers do not overlap on SQLite")


def at_once(work: Callable[[int], Any]) -> list[Any]:
    start = Barrier(TOGETHER)

    def run(number: int) -> Any:
        start.wait(10)
        try:
            return work(number)
        finally:
            connection.close()

    with ThreadPoolExecutor(TOGETHER) as pool:
        return list(pool.map(run, range(TOGETHER)))


@pytest.fixture
def round(a_server: None) -> Round:
    case = services.start_case()
    return services.save_answers(round=case.current_round, answers={"complaint.words": "Stops dead"})


def test_answers_from_many_devices_all_survive(round):
    signs = ("oil_on_brake", "crack_or_crease", "cap_damaged", "stuck_down", "brake_weak", "shock_damaged")
    at_once(lambda n: services.save_answers(round=round, answers={f"safety.{signs[n]}": False}, revision=1))
    now = Round.objects.get(pk=round.pk)
    assert len(now.document["safety"]) == TOGETHER and now.revision == round.revision + TOGETHER


def test_a_round_is_handed_in_once(round):
    orders = at_once(lambda n: services.hand_in(round=Round.objects.get(pk=round.pk), who="rider").pk)
    assert len(set(orders)) == 1
    assert Event.objects.filter(what="Handed in.").count() == WorkOrder.objects.count() == 1


def test_answers_saved_while_it_is_handed_in_are_either_in_the_order_or_refused(round):
    def save_or_hand_in(n: int) -> str:
        try:
            if n % 2:
                return f"order {services.hand_in(round=round, who='rider').pk}"
            services.save_answers(round=round, answers={"rider.mass_kg": 80 + n})
            return "saved"
        except Refused as refused:
            return refused.problem

    at_once(save_or_hand_in)
    now = Round.objects.get(pk=round.pk)
    assert now.work_order.revision == now.revision
    assert Event.objects.filter(what="Answers saved.").count() == now.revision


def test_a_next_round_is_opened_once_and_a_case_closed_once(round):
    case = round.case
    Case.objects.filter(pk=case.pk).update(state=Case.State.ADVISED)
    rounds = at_once(lambda n: services.open_next_round(case=Case.objects.get(pk=case.pk), who="rider").pk)
    assert len(set(rounds)) == 1 and case.rounds.count() == 2
    at_once(lambda n: services.withdraw(case=Case.objects.get(pk=case.pk)))
    assert case.events.filter(what="Case withdrawn.").count() == 1


def test_a_job_sent_many_times_is_one_case(a_server):
    services.new_shop_token(shop_name="Shop", name="counter")
    shop = Shop.objects.get()
    made = at_once(lambda n: services.hand_in_job(
        shop=shop, job="W-1", document={"complaint": {"words": "Stops dead"}}))
    assert len({case.pk for case, _ in made}) == 1 and sum(fresh for _, fresh in made) == 1


def test_a_photo_sent_many_times_with_one_key_is_there_once_also_after_a_claim_ran_out(a_server):
    shop = services.new_shop_token(shop_name="Shop", name="counter")
    case, _ = services.hand_in_job(shop=Shop.objects.get(), job="W-1", hand_in_now=False,
                                   document={"complaint": {"words": "Stops dead"}})
    said = {"authorization": f"Token {shop}", "idempotency-key": "p-1"}

    def send(n: int) -> int:
        return Client(headers=said).post(f"/api/cases/{case.number}/photos/?place=look", picture(),
                                         content_type="image/jpeg").status_code

    for _again in range(2):
        answers = at_once(send)
        assert answers.count(201) >= 1 and set(answers) <= {201, 409} and Photo.objects.count() == 1
        KeptAnswer.objects.update(status=0, claimed_until=timezone.now() - timedelta(seconds=1))


def test_a_question_that_many_sweeps_find_is_mailed_once(a_server, mailoutbox):
    case = services.start_case(rider_email="rider@riders.example")
    Case.objects.update(state="needs an answer", question="Which oil?",
                        asked={"mail": {"tries": 0, "due": timezone.now().isoformat()}})
    at_once(lambda n: mail_question(case=Case.objects.get(pk=case.pk)))
    assert len(mailoutbox) == 1 and Case.objects.get().asked == {}
