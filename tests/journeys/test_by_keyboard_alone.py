"""One page of the form without a mouse or a finger: in order, in sight, and back to what is wrong."""
import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
OUTLINED = "(spot) => {const look = getComputedStyle(spot); return look.outlineStyle !== 'none' && look.outlineWidth}"


def focused(page):
    return page.locator("*:focus")


def tab_to(page, wanted, most=60):
    """Press Tab until it is reached; nothing on the way may be out of sight or out of order."""
    last = -1e9
    for _ in range(most):
        page.keyboard.press("Tab")
        here = focused(page)
        box = here.bounding_box()
        assert box and box["width"] > 1, f"out of sight: {here.evaluate('spot => spot.outerHTML.slice(0, 150)')}"
        assert box["y"] + page.evaluate("scrollY") > last - 60, "the order goes up the page"
        last = box["y"] + page.evaluate("scrollY")
        if here.evaluate("(spot, wanted) => spot.matches(wanted)", wanted):
            return here
    raise AssertionError(f"{wanted} is not reached by Tab")


def test_a_page_is_filled_in_saved_and_put_right_by_keyboard(browser, trial):
    page = people.desk(browser, trial)
    people.start_case(page, "Rider", "")
    page.goto(f"/{people.number_of(page)}/form/rider/")
    page.keyboard.press("Tab")
    expect(focused(page)).to_have_text("Skip to the content")
    page.keyboard.press("Enter")
    weight = tab_to(page, "[name='rider.mass_kg']")
    assert weight.evaluate(OUTLINED) == "3px"
    page.keyboard.type("heavy")
    page.keyboard.press("Enter")

    summary = page.get_by_role("alert").filter(has_text="1 answer to look at again")
    expect(summary).to_be_focused()
    assert summary.evaluate(OUTLINED) == "3px"
    link = tab_to(page, ".summary a", most=1)
    assert link.evaluate(OUTLINED) == "3px"
    page.keyboard.press("Enter")
    weight = page.locator("[name='rider.mass_kg']")
    expect(weight).to_be_focused()
    expect(weight).to_have_value("heavy")
    expect(weight).to_have_attribute("aria-invalid", "true")
    page.keyboard.press("Control+A")
    page.keyboard.type("85")
    can = tab_to(page, "[name='rider.can']")
    page.keyboard.press("Space")
    expect(can).to_be_checked()
    assert page.locator(".picks label:has(:focus-visible)").evaluate(OUTLINED) == "3px"
    page.keyboard.press("Enter")
    expect(page.get_by_text("Saved: The rider.")).to_be_visible()
    assert page.problems == []
