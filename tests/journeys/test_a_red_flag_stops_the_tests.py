"""A sign that means "do not ride": the rider is told at once what to do, and no bench test is offered any more."""
import re

import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = [pytest.mark.browser, pytest.mark.machine]


def test_a_ticked_sign_puts_the_tests_away_and_says_what_to_do(browser, trial):
    page = people.phone(browser, trial)
    people.start_case(page, "Rider", "")
    people.fill(page, {"complaint.words": "It pulls to one side.", "rider.can": ["helper", "stand", "ride"],
                       "safety.bent_or_off_centre": "yes", "checklist~none": "1"})
    expect(page.get_by_text("Save this page: we then say what to do.")).to_be_visible()  # before anything is sent
    word = page.locator(".stop-now h2").bounding_box()
    assert word and word["width"] > 2 * word["height"], "the word stop is not squeezed into a column"
    people.press(page, "Save and go on")

    stop = page.get_by_role("alert").filter(has_text="Stop. Do not ride.")
    expect(stop).to_contain_text("workshop")
    expect(stop).to_contain_text("The bench tests are put away.")
    number = people.number_of(page)
    page.goto(f"/{number}/bench/push/")
    expect(page.get_by_role("heading", name="Please leave this test out")).to_be_visible()
    expect(page.locator("input[name='bench.push.quick_stroke_mm']")).to_have_count(0)
    page.goto(f"/{number}/")
    expect(page.get_by_text("Put away until a workshop has seen the bike.")).to_be_visible()
    expect(page.locator(f"a[href*='/{number}/bench/']")).to_have_count(0)

    page.goto(f"/{number}/check/")
    people.press(page, "Hand in")
    expect(page.get_by_role("heading", level=1)).to_have_text("Received")
    people.until_there(page, f"/{number}/", page.get_by_role("heading", name="Do not ride. Workshop only."))
    assert page.problems == []

    tuner = people.desk(browser, trial)
    people.sign_in(tuner, trial)
    tuner.goto(f"/desk/case/{number}/")
    letter = tuner.locator("article.paper")
    expect(letter).to_contain_text(re.compile("do not ride", re.IGNORECASE))
    assert tuner.problems == []
