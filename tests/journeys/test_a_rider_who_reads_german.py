"""A German phone: German pages and numbers with a comma, from the first page to the letter."""
import re

import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
FIRST = {"complaint.words": "Seit dem Ölwechsel schlägt sie hart an.", "complaint.symptoms": ["stops hard"],
         "complaint.since": "same day as a job", "checklist~none": "1", "service.done": ["oil"], "bike.kind": "road",
         "bike.mass_kg": {"value": "201,5", "known": "documented"}, "fork.damper": "damper rod",
         "rider.mass_kg": {"value": "82,5 kg", "known": "measured"}, "rider.can": ["helper", "stand", "tape"]}
RATE = "fork.left.spring.rate_n_per_mm"

TUBE, LEVEL = "fork.left.stanchion_diameter_mm", "fork.left.oil_level_mm"


def inches_meant(page, number):
    """A tube of 1,7 is asked back and put right by one tap; a level may be typed in "Zoll"."""
    page.goto(f"/{number}/form/legs/")
    people.fill(page, {TUBE: "1,7", LEVEL: "5,5 Zoll"})
    people.press(page, "Speichern und weiter")
    page.get_by_role("button", name="Ja, 1,7 in: 43,18 mm").click()
    expect(page.get_by_text("1,7 in = 43,18 mm")).to_be_visible()
    expect(page.get_by_text("5,5 Zoll = 139,7 mm")).to_be_visible()


def test_pages_comma_and_letter_are_german(browser, trial):
    page = people.phone(browser, trial, locale="de-DE")
    page.goto("/")
    people.press(page, "Einen Fall beginnen")
    people.press(page, "Start")
    people.press(page, "Weiter zu den ersten Fragen")
    number = people.number_of(page)
    expect(page.locator("html")).to_have_attribute("lang", "de")
    people.fill(page, FIRST)
    people.press(page, "Speichern und alle Seiten zeigen")
    page.wait_for_url(re.compile(r"/FB-\w+/$"))
    page.goto(f"/{number}/form/springs/")
    page.locator(f"[name='{RATE}~unit']").select_option("kgf/mm")
    people.fill(page, {RATE: "1,25", "fork.left.preload_fixed_mm": "12,5"})
    people.press(page, "Speichern und weiter")
    page.wait_for_url(lambda address: "/springs/" not in address)
    page.goto(f"/{number}/form/springs/")
    expect(page.locator(f"[name='{RATE}']")).to_have_value("1,25")
    expect(page.get_by_text("1,25 kgf/mm = 12,26 N/mm")).to_be_visible()
    expect(page.locator(".fault")).to_have_count(0)
    inches_meant(page, number)
    page.goto(f"/{number}/check/")
    expect(page.locator("main")).to_contain_text("82,5 kg")
    people.press(page, "Abgeben")
    expect(page.get_by_role("heading", level=1)).to_have_text("Angekommen")

    tuner = people.desk(browser, trial)
    people.sign_in(tuner, trial)
    people.until_there(tuner, f"/desk/case/{number}/", tuner.locator("article.paper"))
    people.press(tuner, "Approve version 1")
    expect(tuner.get_by_label("Send it to")).to_be_visible()
    page.goto(f"/{number}/")
    people.press(page, "Den Brief lesen")
    letter = page.get_by_role("article").first
    expect(letter).to_contain_text("Dieser Brief ist keine Prüfung")
    assert not re.search(r"\d\.\d", letter.inner_text()), "a decimal point in a German letter"
    assert page.problems == tuner.problems == []
