"""A shop's jobs in one table, one of them wrong: the good ones become cases, and one gets its service sheet."""
import csv
import io
import json

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from deploy.trial import BASE
from intake.paths import answers_of
from tests.journeys import desk_scene, people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
CLASSIC = BASE / "fixtures" / "demo" / "01-wall-after-the-oil-change.json"


@pytest.fixture
def shop(trial):
    return desk_scene.made(trial, "shops")[0]


@pytest.fixture
def counter(browser, trial, shop):
    page = people.desk(browser, trial)
    page.goto("/shop/")
    page.get_by_label("Name").fill(shop["name"])
    page.get_by_label("Password").fill(shop["password"])
    people.press(page, "Sign in")
    expect(page.get_by_role("heading", level=1)).to_have_text("Jobs of Shop of the table")
    return page


def test_good_lines_become_cases_and_one_gets_its_sheet(counter, browser, trial, shop):
    people.press(counter, "Many jobs")
    counter.get_by_label("The file").set_input_files(
        {"name": "monday.csv", "mimeType": "text/csv", "buffer": _table().encode()})
    people.press(counter, "Check the table")
    fault = counter.get_by_role("region", name="Cells to look at").locator("tbody tr")
    expect(fault).to_have_count(1)
    expect(fault.locator("td").first).to_have_text("3")
    expect(fault).to_contain_text("bike.mass_kg")
    expect(fault).to_contain_text("very heavy")
    expect(_line(counter, "T-1")).to_contain_text("good")
    expect(counter.locator("main a[href*='/shop/case/']")).to_have_count(0)  # nothing before the shop's word

    people.press(counter, "Hand in 2 jobs")
    expect(counter.get_by_text("Handed in. Every good line is a case now.")).to_be_visible()
    expect(_line(counter, "T-2").get_by_role("link")).to_have_count(0)
    _line(counter, "T-1").get_by_role("link").click()
    expect(counter.get_by_role("heading", level=1)).to_contain_text("Job T-1")
    number = counter.locator(".case-head .number").inner_text()
    paper = f"/shop/case/{number}/service-sheet.pdf"
    assert counter.request.get(paper).status == 404

    _approved_by_a_tuner(browser, trial, number)
    counter.goto(f"/shop/case/{number}/")
    link = counter.get_by_role("link", name="Print the service sheet (PDF)")
    assert link.get_attribute("href") == paper
    words = _words(counter.request.get(paper))
    for told in ("Service sheet", "Shop of the table", "T-1", number, "Level to set"):
        assert told in words
    levels = counter.get_by_role("region", name="Service sheet in numbers").get_by_role("row").filter(
        has_text="Level to set").get_by_role("cell")
    assert levels.first.inner_text() in words

    counter.goto("/shop/")
    assert sorted(counter.locator(".jobs strong:first-child").all_inner_texts()) == ["T-1", "T-3"]
    for address in (f"/shop/case/{shop['other']}/", f"/shop/case/{shop['other']}/service-sheet.pdf"):
        assert counter.request.get(address).status == 404
    assert counter.problems == []


def _line(page, job):
    return page.get_by_role("region", name="Every line").get_by_role("row").filter(has_text=job)


def _approved_by_a_tuner(browser, trial, number):
    page = people.desk(browser, trial)
    people.sign_in(page, trial)
    people.until_there(page, f"/desk/case/{number}/", page.get_by_role("button", name="Approve version 1"))
    people.press(page, "Approve version 1")
    expect(page.get_by_label("Send it to")).to_be_visible()
    assert page.problems == []


def _table():
    """Three jobs as a workshop's spreadsheet saves them; the mass in the second is no number."""
    line = {}
    for path, raw in answers_of(json.loads(CLASSIC.read_text())).items():
        if isinstance(raw, dict):
            line |= {path: _cell(raw["value"]), f"{path}.known": raw["known"]}
        elif path != "schema" and raw is not None:
            line[path] = _cell(raw)
    jobs = [{"job": "T-1", **line}, {"job": "T-2", **line, "bike.mass_kg": "very heavy"}, {"job": "T-3", **line}]
    out = io.StringIO()
    writer = csv.DictWriter(out, list(jobs[0]))
    writer.writeheader()
    writer.writerows(jobs)
    return out.getvalue()


def _cell(value):
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " + ".join(value) if isinstance(value, list) else value


def _words(answer):
    assert answer.headers["content-type"] == "application/pdf"
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.body())).pages)
