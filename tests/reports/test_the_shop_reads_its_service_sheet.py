"""A shop gets the service sheet by itself, with its own job number; only of an approved letter, never beside a stop."""
from __future__ import annotations

import io
from typing import Any

import pytest
from django.urls import reverse
from pypdf import PdfReader

from reports.models import Draft
from tests.letter_cases import approved_letter, drafted_letter, handed_in, use_fake_engine
from tests.reports.test_pdf import SERVICE

pytestmark = pytest.mark.django_db
NAMES = ("api-service-sheet", "api-service-sheet-pdf")


def with_sheet(monkeypatch: Any, shop: Any, **changes: Any) -> Any:
    use_fake_engine(monkeypatch, service=SERVICE, **changes)
    return approved_letter(handed_in(shop=shop.shop, shop_job="W-77")).round.case


def read(shop: Any, name: str, case: Any, **headers: str) -> Any:
    return shop.client.get(reverse(name, args=[case.number]), headers=headers)


def test_amounts_come_leg_by_leg_with_the_job_number(monkeypatch, shop):
    shown = read(shop, "api-service-sheet", with_sheet(monkeypatch, shop)).json()
    assert (shown["job"], shown["round"]) == ("W-77", 1)
    assert shown["amounts"][0].keys() == {"what", "left", "right"}
    assert shown["condition"].startswith("Levels are read") and "torque" not in str(shown["order"]).lower()


def test_it_comes_in_the_language_that_is_asked_for(monkeypatch, shop):
    case = with_sheet(monkeypatch, shop)
    english, german = (read(shop, "api-service-sheet", case, **{"accept-language": code}).json()
                       for code in ("en", "de"))
    assert english["joints"] != german["joints"]


def test_on_paper_it_carries_shop_and_job_and_is_tagged(monkeypatch, shop):
    case = with_sheet(monkeypatch, shop)
    answer = read(shop, "api-service-sheet-pdf", case)
    assert answer["Content-Type"] == "application/pdf"
    paper = PdfReader(io.BytesIO(answer.content))
    words = " ".join(page.extract_text() for page in paper.pages)
    assert "W-77" in words and shop.shop.name in words and "Service sheet" in words
    assert paper.trailer["/Root"]["/MarkInfo"]["/Marked"] and len(paper.pages) <= 2
    assert "What we found" not in words


@pytest.mark.parametrize("name", NAMES)
def test_before_approval_and_for_other_shops_there_is_none(monkeypatch, shop, other_shop, name):
    use_fake_engine(monkeypatch, service=SERVICE)
    case = drafted_letter(handed_in(shop=shop.shop)).round.case
    assert read(shop, name, case).status_code == read(other_shop, name, case).status_code == 404


@pytest.mark.parametrize("name", NAMES)
def test_beside_a_stop_sign_there_is_none(monkeypatch, shop, name):
    case = with_sheet(monkeypatch, shop)
    findings = Draft.objects.get().findings
    Draft.objects.update(findings=findings | {"stop_riding": True})
    answer = read(shop, name, case)
    assert answer.status_code == 404 and "do not ride" in answer.json()["detail"]
