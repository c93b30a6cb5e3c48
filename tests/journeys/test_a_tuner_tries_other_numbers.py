"""Sliders on the desk: the keyboard moves them, the newest answer wins, what cannot be advised is said at once."""
import re

import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
LATE = 1500
"""Milliseconds by which the first answer is held up, so that it comes after the second."""


@pytest.fixture
def page(browser, trial, cases):
    page = people.desk(browser, trial)
    page.goto("/desk/sign-in/")
    page.locator("input[name=username]").fill(trial.name)
    page.locator("input[name=password]").fill(trial.password)
    page.locator("main form button").first.click()
    page.wait_for_url("**/desk/")
    page.goto(f"/desk/case/{cases['ready'][0]}/")
    expect(page.locator("[data-plot] canvas")).to_be_visible()
    page.get_by_text("Try other numbers").click()
    return page


def test_a_slider_is_moved_by_keyboard_and_taken_back(page):
    level = page.get_by_role("slider", name="Oil level, left leg")
    level.focus()
    page.keyboard.press("Home")
    said = page.locator("[data-said]")
    expect(said).to_contain_text("This cannot go into the letter.")
    expect(page.get_by_role("button", name=re.compile("^Put these numbers into"))).to_be_disabled()
    page.get_by_role("button", name=re.compile("Oil level, left leg.*as advised")).click()
    expect(said).to_be_empty()
    assert page.locator("[name=level_right_mm]").input_value() == page.locator("[name=level_left_mm]").input_value()
    assert page.problems == []


def test_an_answer_that_comes_late_is_dropped(page):
    held = []

    def hold_the_first(route):
        if not held:
            held.append(route.request.url)
            page.wait_for_timeout(LATE)
        route.continue_()

    field, words = page.locator("[name=level_left_mm]"), page.locator("[data-oil-words]")
    page.wait_for_load_state("networkidle")
    page.route("**/try/answer/**", hold_the_first)
    field.fill("150")
    page.wait_for_timeout(200)
    field.fill("160")
    expect(words).to_contain_text("Left leg to 160.0")
    page.wait_for_timeout(LATE)
    expect(words).to_contain_text("Left leg to 160.0")
    assert "level_left_mm=150" in held[0]


def test_a_bad_value_is_said_in_words_and_stays_in_its_field(page):
    field = page.locator("[name=rate_n_per_mm]")
    field.fill("hard")
    expect(page.locator("[data-said]")).to_contain_text("“hard” is not a number")
    expect(field).to_have_value("hard")
