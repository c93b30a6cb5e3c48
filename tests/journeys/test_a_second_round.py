"""After the letter: what was really changed, measured again, and both rounds side by side."""
import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
AGAIN = {"bench.travel.used_mm": "121"}


def test_what_was_changed_is_asked_first_and_before_stands_beside_after(browser, trial, cases):
    page = people.phone(browser, trial)
    number = people.enter(page, f"/link/{cases['advised once'][1]}/")
    people.press(page, "Open the next round")
    expect(page.get_by_role("heading", level=1)).to_have_text("What was changed since the letter")
    page.get_by_label("Done differently").check()
    page.get_by_label("What was done, and how is it now?").fill("Only freed the axle. It uses more of its travel.")
    people.press(page, "Save")
    expect(page.get_by_text("Round 2.")).to_be_visible()

    page.goto(f"/{number}/bench/travel/")
    expect(page.locator("input[name='bench.travel.used_mm']")).to_have_value("")  # tests are asked anew
    people.fill(page, AGAIN)
    people.press(page, "Save and show all pages")
    people.press(page, "Before and after, side by side")
    expect(page.get_by_role("region", name="What was changed in between")).to_contain_text("Only freed the axle.")
    travel = page.get_by_role("row").filter(has_text="Deepest stroke, seal to tie")
    expect(travel.get_by_role("cell").first).to_have_text("96 mm")
    expect(travel.get_by_role("cell").last).to_have_text("121 mm")

    page.goto(f"/{number}/check/")
    people.press(page, "Hand in")
    expect(page.get_by_role("heading", level=1)).to_have_text("Received")
    assert page.problems == []
