"""A shop's customer reads a letter of facts: the bike stands in the shop, which has the sheet and took the measures."""
from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from analysis import parse_case
from reports.pdf import report_pdf
from reports.services.letters import letter_head
from reports.wording import letter_text
from tests.letter_cases import handed_in
from tests.reference_fork import case as reference_case
from tests.reports.test_a_letter_for_every_cause import HEAD, NAMES, findings_for, part

TO_A_WORKSHOP = ("Take the bike", "to a workshop", "this letter with it", "give the service sheet", "you have no stand",
                 "you have not opened")
AS_IF_BY_THE_RIDER = ("(you measured it)", "(you saw it)", "(you told us)", "(from your readings)",
                      "(you wrote")


def paper(pdf):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def letter(name, **head):
    case, findings = findings_for(name)
    return letter_text(findings, HEAD | head, case)


@pytest.mark.parametrize("name", NAMES)
def test_it_sends_no_bike_to_the_workshop_that_has_it_and_gives_nobody_elses_measures_as_the_riders(name):
    text = letter(name, by_shop=True)
    todo = part(text, "The one thing to do now").lower()
    assert not [words for words in TO_A_WORKSHOP if words.lower() in todo]
    assert not [words for words in AS_IF_BY_THE_RIDER if words in text]
    assert "(measured)" in text


def test_nobody_is_greeted_by_what_a_shop_calls_its_customer():
    alias = "the customer with the blue helmet"
    assert letter("over-filled", by_shop=True, rider_name=alias).startswith("Hello,\n")
    assert letter("over-filled", rider_name="Kim").startswith("Hello Kim,\n")


@pytest.mark.parametrize(("name", "told"), [
    ("over-filled", "has the service sheet for this work"), ("wrong assembly", "has the service sheet for this work"),
    ("worn shock", "This is for the workshop that wrote to us for you."), ("rebound too slow", "You need")])
def test_it_says_whose_work_it_is(name, told):
    todo = part(letter(name, by_shop=True), "The one thing to do now")
    assert told in todo and "\n1. " in todo


def test_a_number_in_another_unit_stands_as_it_was_written_and_by_nobody():
    told = parse_case(reference_case({"oil_level_mm": 100, "spring": {"rate_n_per_mm": "0.9 kgf/mm"}}))
    text = letter_text(findings_for("over-filled")[1], HEAD | {"by_shop": True}, told)
    assert "(written as 0.9 kgf/mm)" in text and "you wrote" not in text


def test_the_technical_sheet_goes_to_the_shop_and_is_no_part_of_the_customers_paper():
    findings = findings_for("over-filled")[1]
    alone, both = (paper(report_pdf("Hello,", findings, [], HEAD | {"by_shop": shop})) for shop in (True, False))
    assert "Service sheet for the workshop" not in alone and "trade partners" not in alone
    assert "Service sheet for the workshop" in both


def test_a_danger_until_the_work_is_done_is_still_said():
    assert "do not ride hard until it has been measured" in part(letter("bent part", by_shop=True),
                                                                 "The one thing to do now")


def test_a_riders_own_letter_stays_as_it_was():
    text = letter("wrong assembly")
    assert "you measured it" in text and "(measured)" not in text and "wrote to us for you" not in text


@pytest.mark.django_db
def test_the_worker_knows_whose_letter_it_is(shop):
    assert letter_head(handed_in(shop=shop.shop).round)["by_shop"] and not letter_head(handed_in().round)["by_shop"]
