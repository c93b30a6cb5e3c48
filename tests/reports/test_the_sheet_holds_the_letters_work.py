"""The workshop's sheet asks for what the letter asks for: spacers, springs or bolts first, the oil beside it."""
from __future__ import annotations

import io
from typing import Any

import pytest
from django.urls import reverse
from pypdf import PdfReader

from reports.desk_pages import service_table
from reports.pdf import service_sheet_pdf
from reports.service_sheet import sheet_data
from tests.letter_cases import approved_letter, drafted_letter, findings, handed_in, use_fake_engine
from tests.reports.test_pdf import SERVICE

SHORTER = "A workshop fits spacers that are 5 mm shorter in each leg that has a spring, and keeps the old ones."


def found(cause: str, remedy: str, *steps: str, by_workshop: bool = False) -> dict[str, Any]:
    """Findings that name a cause, and what is to be done about it."""
    return findings(
        verdict={"kind": "cause", "cause": cause, "words": "Most likely this.", "why_open": []},
        causes=[{"name": cause, "title": "This", "probability": 0.9, "standard_error": 0.004, "remedy": remedy}],
        advice=[{"title": "Do this", "steps": list(steps), "by_workshop": by_workshop}], service=SERVICE)


def printed(sheet: dict[str, Any] | None) -> str:
    assert sheet is not None
    pages = PdfReader(io.BytesIO(service_sheet_pdf(sheet, {"number": "FB-7K3QX9", "round": 1}))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_spacers_that_the_letter_has_changed_do_not_go_back_as_they_were_found():
    sheet = sheet_data(found("too much preload", "preload", SHORTER, by_workshop=True))
    words = printed(sheet)
    assert SHORTER in words and "go back as they were found" not in words and "old ones are kept" in words
    assert words.index(SHORTER) < words.index("Oil, leg by leg, if the legs are opened")


@pytest.mark.parametrize(("cause", "remedy", "step"), [
    ("spring too stiff", "spring", "About 8.0 N/mm suits this rider and bike."),
    ("friction or misalignment", "strip", "Loosen mudguard and brace bolts.")])
def test_other_work_stands_first_and_spacers_go_back_as_they_were_found(cause, remedy, step):
    words = printed(sheet_data(found(cause, remedy, step)))
    assert step in words and "go back as they were found" in words
    assert words.index(step) < words.index("Oil, leg by leg, if the legs are opened")


@pytest.mark.parametrize("kind", ["cannot tell yet", "do not fit together"])
def test_where_the_letter_has_nothing_changed_before_a_test_the_sheet_says_so_first(kind):
    words = printed(sheet_data(findings(service=SERVICE, verdict={"kind": kind, "cause": "over-filled"})))
    assert words.index("Nothing is to be changed yet") < words.index("Oil, leg by leg, if the legs are opened")


def test_where_nothing_is_wrong_no_sheet_has_the_fork_opened():
    assert sheet_data(found("nothing wrong or measured badly", "none", "Leave the settings as they are.")) is None


def test_where_the_oil_is_the_work_the_sheet_is_about_the_oil():
    words = printed(sheet_data(found("over-filled", "oil", "Draw off 98 ml.")))
    assert "The work to do" not in words and "if the legs are opened" not in words


@pytest.mark.parametrize(("now", "words"), [(99.0, "nothing: it stands right"), (97.0, "1 ml"), (None, "1 ml")])
def test_oil_that_stands_within_its_tolerance_is_not_to_be_moved(now, words):
    leg = {"level_now_mm": now, "level_to_set_mm": 100.0, "level_tolerance_mm": 2.0, "draw_off_ml": 1.0}
    made = findings(service=SERVICE | {"left": leg, "right": leg})
    sheet = sheet_data(made)
    assert sheet is not None
    rows = {row[0]: row[1].replace("\N{NO-BREAK SPACE}", " ") for row in sheet["amounts"]}
    assert rows["Draw off or add"] == words
    on_the_desk = {row.title: row.cells[0].words.replace("\N{NO-BREAK SPACE}", " ") for row in service_table(made)}
    assert on_the_desk["To get there"].removeprefix("draw off ") == words


@pytest.mark.django_db
def test_the_shops_program_and_its_counter_read_the_same_work(monkeypatch, shop, counter):
    use_fake_engine(monkeypatch, **found("too much preload", "preload", SHORTER, by_workshop=True))
    case = approved_letter(handed_in(shop=shop.shop, shop_job="W-78")).round.case
    told = shop.client.get(reverse("api-service-sheet", args=[case.number])).json()
    assert told["work"] == ["Do this", SHORTER]
    assert SHORTER in counter.client.get(reverse("shop-case", args=[case.number])).content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize(("cause", "remedy", "service", "shown"), [
    ("worn shock", "rear", SERVICE, False), ("over-filled", "oil", SERVICE | {"workshop_only": True}, True)])
def test_the_desk_offers_the_sheet_where_there_is_one_and_nowhere_else(
        monkeypatch, tuner, cause, remedy, service, shown):
    use_fake_engine(monkeypatch, **(found(cause, remedy, "A step.") | {"service": service}))
    number = drafted_letter().round.case.number
    page = tuner.client.get(reverse("desk-case", args=[number])).content.decode()
    assert ("Service sheet as PDF" in page) == shown
    assert (tuner.client.get(reverse("service-sheet", args=[number])).status_code == 200) == shown
