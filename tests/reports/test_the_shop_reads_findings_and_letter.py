"""The shop's door reads findings as drafted, and letters once they are approved."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake.models import Case, Round, Shop, ShopToken
from intake.tokens import hash_token
from tests.letter_cases import PDF, approved_letter, drafted_letter, handed_in, use_fake_engine

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


@pytest.fixture
def shop():
    shop = Shop.objects.create(name="Shop")
    ShopToken.objects.create(shop=shop, name="till", token_hash=hash_token("the-key"), scope="read")
    return shop


def read(client, name, case, key="the-key", **query):
    return client.get(reverse(name, args=[case.number]), query, headers={"Authorization": f"Token {key}"})


def test_findings_can_be_read_once_drafted_and_say_that_nobody_approved_them(client, shop):
    case = drafted_letter(handed_in(shop=shop)).round.case
    answer = read(client, "api-findings", case).json()
    assert answer["findings"]["verdict"]["words"] == "Most likely too much oil."
    assert (answer["number"], answer["round"], answer["engine"]) == (case.number, 1, "1.0.0")
    assert (answer["up_to_date"], answer["approved"]) == (True, False)


def test_findings_say_when_the_answers_have_moved_on(client, shop):
    case = drafted_letter(handed_in(shop=shop)).round.case
    Round.objects.update(revision=9)
    assert read(client, "api-findings", case).json()["up_to_date"] is False


def test_before_the_draft_there_are_no_findings_and_the_answer_says_where_the_case_stands(client, shop):
    answer = read(client, "api-findings", handed_in(shop=shop).round.case)
    assert answer.status_code == 404 and "no findings yet" in answer.json()["detail"]
    assert "'handed in'" in answer.json()["mend"]


def test_a_letter_can_be_read_only_once_it_is_approved(client, shop):
    case = drafted_letter(handed_in(shop=shop)).round.case
    for name in ("api-letter", "api-letter-pdf"):
        answer = read(client, name, case)
        assert answer.status_code == 404 and "no approved letter" in answer.json()["detail"]


def test_the_approved_letter_comes_as_words_html_and_pdf(client, shop):
    letter = approved_letter(handed_in(shop=shop))
    answer = read(client, "api-letter", letter.round.case).json()
    assert answer["text"].startswith("## What we found") and "<strong>too much oil</strong>" in answer["html"]
    assert (answer["content_sha256"], answer["approved_by"], answer["round"]) == (letter.content_hash, "tuner", 1)
    pdf = client.get(answer["pdf"], headers={"Authorization": "Token the-key"})
    assert (pdf.content, pdf["Content-Type"]) == (PDF, "application/pdf")
    assert read(client, "api-findings", letter.round.case).json()["approved"] is True


@pytest.mark.parametrize("name", ["api-findings", "api-letter", "api-letter-pdf"])
def test_another_shops_case_does_not_exist_and_without_a_key_there_is_no_door(client, shop, name):
    theirs = approved_letter(handed_in(shop=Shop.objects.create(name="Other shop"))).round.case
    riders = approved_letter().round.case
    assert read(client, name, theirs).status_code == 404
    assert read(client, name, riders).status_code == 404
    assert read(client, name, theirs, key="made up").status_code == 401
    assert client.get(reverse(name, args=[theirs.number])).status_code == 401
    assert Case.objects.count() == 2
