"""Two tuners write into one letter at once: the second sees both texts, merges them, and nothing typed is lost."""
import re
from dataclasses import replace

import pytest
from playwright.sync_api import expect

from tests.journeys import desk_scene, people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
FIRST, SECOND, APART = "The first tuner says: mind the seals.", "The second tuner says: level it warm.", "Only mine."


@pytest.fixture
def scene(browser, trial):
    """The letter's case, and both tuners with the letter open in a browser of their own."""
    number, (name, password) = desk_scene.made(trial, "letter", "colleague")
    pages = []
    for who in (trial, replace(trial, name=name, password=password)):
        page = people.desk(browser, trial)
        people.sign_in(page, who)
        page.goto(f"/desk/case/{number}/letter/")
        pages.append(page)
    return number, name, *pages


def test_the_second_sees_both_texts_and_merges_them(scene, trial):
    number, name, first, second = scene
    _add(_boxes(first).first, FIRST)
    _add(_boxes(second).first, SECOND)
    _add(_boxes(second).last, APART)
    people.press(first, "Save")
    expect(first.locator("article.paper").first).to_contain_text(FIRST)

    people.press(second, "Save")
    expect(second.get_by_role("heading", level=1)).to_have_text("Take it over?")
    for words in (SECOND, APART):
        expect(second.locator("main form").filter(has=second.locator("[name=based_on]"))).to_contain_text(words)
    people.press(second, "Take it over and go on")

    conflict = second.get_by_role("alert")
    expect(conflict).to_contain_text(f"{trial.name} saved version 2 while you were writing")
    for words in (FIRST, SECOND, APART):
        expect(second.locator("main")).to_contain_text(words)
    box = _boxes(second).first
    expect(box).to_have_value(_with(SECOND))
    expect(_boxes(second).last).to_have_value(_with(APART))
    line = second.locator("fieldset.block").first.get_by_role("row").filter(has=second.locator("del"))
    sides = line.get_by_role("cell")
    expect(sides.first).to_contain_text(FIRST)
    expect(sides.last).to_contain_text(SECOND)
    _add(box, FIRST)
    people.press(second, "Save mine on top")

    letter = second.locator("article.paper").first
    for words in (FIRST, SECOND, APART):
        expect(letter).to_contain_text(words)
    second.goto(f"/desk/case/{number}/letter/versions/?from=2&to=3")
    expect(second.locator("main")).to_contain_text(f"Version 3, {name}")
    expect(second.locator("del")).to_have_count(0)  # nothing of the first tuner's version is gone
    assert first.problems == [] and _faults(second) == []


def _boxes(page):
    return page.locator("fieldset.block textarea[name^=block-]")


def _add(box, words):
    box.fill(f"{box.input_value().strip()}\n\n{words}\n")


def _with(words):
    return re.compile(re.escape(words))


def _faults(page):
    """What the browser said, apart from the two refusals that this journey is about."""
    return [said for said in page.problems if "status of 409" not in said]
