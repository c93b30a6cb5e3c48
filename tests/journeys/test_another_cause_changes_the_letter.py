"""A tuner who judges another cause than the engine: letter, queue and page say so, until it is taken back."""
import pytest
from playwright.sync_api import expect

from tests.journeys import desk_scene, people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
OWN, REASON = "Friction, or legs clamped out of line", "It skips on the stand, and the oil went in by measure."
LED = f"In our tuner's own judgement: {OWN}"


@pytest.fixture
def number(trial):
    return desk_scene.made(trial, "letter")[0]


def test_a_judged_cause_leads_letter_row_and_page_until_it_is_taken_back(browser, trial, number):
    page = people.desk(browser, trial)
    people.sign_in(page, trial)
    case = f"/desk/case/{number}/"
    page.goto(case)
    letter, odds = page.locator("article.paper"), page.locator(".causes")
    first, said, given = letter.inner_text(), page.locator(".verdict").inner_text(), odds.inner_text()
    assert "Friction" not in said and LED not in first

    page.get_by_text("I judge it otherwise").click()
    page.get_by_label("It is", exact=True).select_option(label=_choice(page))
    page.get_by_label("Because", exact=True).fill(REASON)
    people.press(page, "Let this cause lead")
    expect(page.locator(".saved")).to_contain_text(f"Judged: {OWN}")
    people.until_there(page, case, page.locator("main").filter(has=page.locator(".judged")).filter(
        has=letter.filter(has_text=LED)))
    assert LED in letter.inner_text().split("What ")[0]
    expect(page.locator(".judged")).to_contain_text(f"{trial.name} holds: {OWN}")
    expect(page.locator(".judged")).to_contain_text(REASON)
    expect(page.locator(".judged")).to_contain_text(f"says: {said}")
    assert odds.inner_text() == given, "a judgement must not move the engine's odds"
    expect(_row(page, number).locator(".row-judged")).to_have_text(f"{trial.name} holds: {OWN}")

    page.goto(case)
    people.press(page, "Let the engine's verdict lead again")
    people.until_there(page, case, page.locator("main").filter(has_not=page.locator(".judged")).filter(
        has=letter.filter(has_not_text=LED)))
    assert letter.inner_text() == first
    expect(page.locator(".verdict")).to_have_text(said)
    expect(page.locator(".judged")).to_have_count(0)
    expect(_row(page, number).locator(".row-judged")).to_have_count(0)
    page.goto(case)
    for told in ("Leading cause judged otherwise.", "Own judgement taken back."):
        expect(page.locator(".trail")).to_contain_text(told)
    assert page.problems == []


def _choice(page):
    return page.locator("#judge-cause option").filter(has_text=OWN).inner_text()


def _row(page, number):
    page.goto("/desk/")
    return page.locator("[data-row]").filter(has_text=number)
