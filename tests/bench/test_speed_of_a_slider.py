"""One move of a slider on the desk, against a view that only fetches case and draft and sends an answer as long."""
from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.test import RequestFactory
from django.urls import resolve, reverse

from intake.models import Round
from intake.services import case_for
from reports import services
from reports.desk_sign_in import signed_in
from reports.desk_try import draft_of, what_if_answer
from reports.desk_views import chosen_round
from tests.bench.conftest import median_seconds
from tests.letter_cases import handed_in, tuner

pytestmark = [pytest.mark.bench, pytest.mark.django_db]
CASE = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "01-wall-after-the-oil-change.json"


def test_a_move_of_a_slider_is_answered_while_the_finger_is_on_it(benchmark: Any, report: Any) -> None:
    order = handed_in()
    Round.objects.filter(pk=order.round_id).update(document=json.loads(CASE.read_text()))
    assert services.draft_round(order_id=order.pk, worker="worker-1")
    number, user = order.round.case.number, tuner()
    address = reverse("try-answer", args=[number])

    def asked(**typed: str) -> HttpRequest:
        request = RequestFactory().get(address, typed)
        request.user, request.resolver_match = user, resolve(address)
        return request

    answer = json.loads(what_if_answer(asked(level_left_mm="150"), number=number).content)

    @signed_in
    def bare_view(request: HttpRequest, number: str) -> HttpResponse:
        draft_of(chosen_round(request, case_for(user=request.user, number=number)))
        return JsonResponse(answer)

    levels = iter(range(10**6))

    def move() -> HttpResponse:
        return what_if_answer(asked(level_left_mm=str(130 + next(levels) % 30), together="yes"), number=number)

    benchmark.pedantic(move, rounds=30, warmup_rounds=3)
    found, bare = benchmark.stats.stats.median, median_seconds(lambda: bare_view(asked(), number=number), 30)
    report("one move of a slider, as times a bare view", found / bare, 12, "x")
    report("one move of a slider", found, 0.05, "s")
