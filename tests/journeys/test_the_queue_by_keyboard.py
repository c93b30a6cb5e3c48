"""The queue without a mouse: row by row, ticked, opened, searched; and whoever types, types."""
import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = [pytest.mark.browser, pytest.mark.machine]


def test_rows_are_walked_ticked_and_opened_and_typing_stays_typing(browser, trial, cases):
    page = people.desk(browser, trial)
    people.sign_in(page, trial)
    page.goto("/desk/?state=any")
    links, boxes = page.locator("[data-open]"), page.locator("input[name=case]")

    page.keyboard.press("j")
    page.keyboard.press("j")
    expect(links.nth(1)).to_be_focused()
    page.keyboard.press("x")
    expect(boxes.nth(1)).to_be_checked()
    page.keyboard.press("ArrowDown")
    expect(links.nth(2)).to_be_focused()
    page.keyboard.press("k")
    page.keyboard.press("x")
    expect(boxes.nth(1)).not_to_be_checked()

    page.keyboard.press("?")
    expect(page.get_by_text("tick the row, or not")).to_be_visible()
    page.keyboard.press("/")
    page.keyboard.type("jxk/?")
    expect(page.locator("#q")).to_have_value("jxk/?")

    page.get_by_label("Letters do nothing here").check()
    page.reload()
    page.keyboard.press("j")
    expect(links.first).not_to_be_focused()
    page.locator("[data-keys] summary").click()
    page.get_by_label("Letters do nothing here").uncheck()
    links.first.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#trail")).to_be_visible()
    assert page.problems == []
