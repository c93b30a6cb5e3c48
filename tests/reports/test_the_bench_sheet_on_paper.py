"""The printable bench sheet: this case's tests, in the form's order, with a key to the case that only a POST makes."""
from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
import segno
from django.urls import reverse
from pypdf import PdfReader

from analysis.catalogue import BENCH_TESTS, QUESTIONS
from intake import services
from intake.form import Field, Row
from intake.models import PrivateLink, Round
from intake.sheets import Sheet
from reports.bench_sheet import bench_sheet_pdf, print_drawing, qr_svg, sheet_code, sheet_content

pytestmark = pytest.mark.django_db
CAN = {"rider.can": ["helper", "tape"]}


@pytest.fixture(autouse=True)
def safe(rider):
    """The rider has looked for the signs that mean "do not ride", and found none."""
    sheet = Sheet(rider.case, rider.case.current_round, {})
    signs = [field.path for answer in sheet.way.first_answers if answer.step.checklist
             for row in answer.rows for field in row.fields]
    services.save_answers(round=rider.case.current_round, answers=dict.fromkeys(signs, False) | CAN)


def sheet_of(rider, **answers) -> Sheet:
    typed = CAN | {path.replace("__", "."): raw for path, raw in answers.items()}
    round = services.save_answers(round=rider.case.current_round, answers=typed)
    return Sheet(rider.case, round, round.document)


def url(rider) -> str:
    return reverse("bench-sheet", args=[rider.case.number])


def printed(answer) -> PdfReader:
    assert answer.status_code == 200 and answer["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(answer.content))


def test_it_lists_the_offered_tests_and_their_fields_in_the_forms_order(rider):
    sheet = sheet_of(rider)
    tests = sheet_content(sheet)["tests"]
    offered = sheet.way.open_tests
    assert [test["title"].partition(". ")[2] for test in tests] == [station.place.title for station in offered]
    assert [row["title"] for test in tests for row in test["rows"]] == [
        row.question.title for station in offered for row in station.rows
        if not row.question.trace and row.fields[0].not_needed is None]
    assert "oil" not in [station.place.name for station in offered]


def test_only_the_tests_that_were_picked_are_printed_and_all_where_none_was(rider):
    offered = [station.place for station in sheet_of(rider).way.open_tests]
    page = rider.client.get(url(rider)).content.decode()
    assert page.count('name="test"') == len(offered) and page.count(" checked>") == min(4, len(offered))
    last = offered[-1]
    text = " ".join(one.extract_text() for one in printed(rider.client.post(url(rider), {"test": last.name})).pages)
    assert f"1. {last.title}" in text and offered[0].title not in text
    assert len(printed(rider.client.post(url(rider))).pages) > 2


def test_inches_stand_beside_millimetres_only_for_who_uses_them(rider):
    def units(sheet: Sheet) -> set[str]:
        return {unit for test in sheet_content(sheet)["tests"] for row in test["rows"]
                for field in row["fields"] for unit in field["units"]}

    assert "in" not in units(sheet_of(rider))
    assert {"mm", "in", "kg", "lb"} <= units(sheet_of(rider, rider__mass_kg={"value": "180 lb", "known": "measured"}))


def test_safety_stands_before_anything_is_done(rider, client):
    text = " ".join(page.extract_text() for page in printed(rider.client.post(url(rider))).pages)
    text = " ".join(text.split())
    assert text.index("Nobody under the bike") < text.index("Hands off the disc") < text.index("Wipe both shiny tubes")


def test_it_is_a_tagged_a4_document_in_a_named_language(rider):
    pdf = printed(rider.client.post(url(rider)))
    assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"] and pdf.trailer["/Root"]["/Lang"].startswith("en")
    assert [round(float(side) / 72 * 25.4) for side in pdf.pages[0].mediabox[2:]] == [210, 297]


def test_the_bar_is_fifty_millimetres_long(rider):
    drawn = printed(rider.client.post(url(rider))).pages[0].get_contents().get_data().decode("latin-1")
    lengths = {round(float(x) / 72 * 25.4, 1) for x in re.findall(r"([\d.]+) 0 l\n?\s*S", drawn)}
    assert 50.0 in lengths


def test_only_a_post_makes_a_link_and_it_opens_the_case(rider, monkeypatch, stranger):
    seen = []
    monkeypatch.setattr("reports.bench_sheet.qr_svg", lambda address: seen.append(address) or qr_svg(address))
    before = PrivateLink.objects.count()
    assert rider.client.get(url(rider)).status_code == 200 and PrivateLink.objects.count() == before
    answer = rider.client.post(url(rider))
    assert PrivateLink.objects.count() == before + 1 and "no-store" in answer["Cache-Control"]
    assert services.case_for_token(token=seen[0].rstrip("/").rpartition("/")[2]) == rider.case
    assert stranger.client.post(url(rider)).status_code == 404


def test_a_sheet_can_be_printed_without_its_key(rider):
    before = PrivateLink.objects.count()
    text = printed(rider.client.post(url(rider), {"without_link": "1"})).pages[0].extract_text()
    assert PrivateLink.objects.count() == before and "Scan this" not in text


def test_the_qr_code_holds_the_address_and_nothing_else():
    address = "https://farbench.example/link/" + "a" * 43 + "/"
    drawn = io.BytesIO()
    segno.make_qr(address, error="m").save(drawn, kind="svg", xmldecl=False, border=4, omitsize=True)
    assert qr_svg(address) == drawn.getvalue().decode() != qr_svg(address + "x")


def test_the_code_belongs_to_the_case_and_round_and_stays_while_readings_come_in(rider, other_rider):
    first = sheet_of(rider)
    read = sheet_of(rider, bench__sag__extended_mm="120")
    later = Sheet(rider.case, Round(case=rider.case, number=2), {})
    assert sheet_code(first) == sheet_code(read)
    assert len({sheet_code(first), sheet_code(later), sheet_code(sheet_of(other_rider))}) == 3
    assert re.fullmatch("[A-HJ-NP-Z2-9]{4}", sheet_code(first))


def test_a_stop_sign_prints_no_tests(rider):
    sheet_of(rider, safety__crack_or_crease=True)
    answer = rider.client.post(url(rider))
    assert answer.status_code == 409 and "not safe" in answer.content.decode()


@pytest.mark.parametrize("test", BENCH_TESTS, ids=lambda test: test.name)
def test_every_drawing_can_be_printed_in_black_and_white(test):
    drawing = print_drawing(test.drawing)
    assert drawing["alt"] and "xmlns" in drawing["svg"] and "<style>" in drawing["svg"]
    assert all(words for _, words in drawing["key"])


def test_before_the_signs_were_looked_for_there_is_nothing_to_print(other_rider):
    answer = other_rider.client.post(url(other_rider))
    assert answer.status_code == 409 and "looked for the signs" in answer.content.decode()


def test_a_reading_that_is_taken_three_times_has_three_boxes(rider):
    question = replace(QUESTIONS["bench.travel.used_mm"], repeats=3)
    row = Row(question, (Field("bench.travel.used_mm", question, "", ""),))
    sheet = sheet_of(rider)
    sheet.way.open_tests[0].__dict__["rows"] = (row,)
    assert sheet_content(sheet)["tests"][0]["rows"][0]["fields"][0]["repeats"] == 3
    assert bench_sheet_pdf(sheet).startswith(b"%PDF")
