"""Answers that cannot both be right: the rider sees the pair before handing in, the letter asks about it.

The rider's phone runs no script, from the first page to the hand-in.
"""
import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
FIRST = {"complaint.words": "It feels harsh.", "complaint.symptoms": ["harsh on small bumps"], "checklist~none": "1",
         "bike.kind": "road", "bike.mass_kg": "200", "rider.mass_kg": {"value": "80", "known": "measured"},
         "fork.damper": "damper rod", "rider.can": ["helper", "stand", "tape"]}
LEGS = {"fork.left.stanchion_diameter_mm": "41", "fork.left.bore_diameter_mm": "43", "same_as_left": "1"}
SWAPPED = {"bench.sag.extended_mm": "152", "bench.sag.free_from_below_mm": "124", "bench.sag.free_from_above_mm": "132",
           "bench.sag.rider_from_below_mm": "118", "bench.sag.rider_from_above_mm": "102"}


def test_the_pair_is_named_to_the_rider_and_in_the_letter(browser, trial):
    page = people.phone(browser, trial, java_script_enabled=False)
    people.start_case(page, "Rider", "")
    people.fill(page, FIRST)
    people.press(page, "Save and show all pages")
    number = people.number_of(page)
    people.answer(page, "The fork", {"fork.layout": "right way up"})
    people.answer(page, "Oil and tubes, leg by leg", LEGS)
    expect(page.get_by_role("heading", name="Is this right?")).to_be_visible()
    people.press(page, "Save and show all pages")
    people.answer(page, "Free sag and rider sag, from above and from below", SWAPPED)
    people.press(page, "Check and hand in")
    doubts = page.get_by_role("region", name="Please look once more")
    expect(doubts).to_contain_text("The inside of the tube is given as wide as its outside or wider.")
    people.press(page, "Hand in")
    expect(page.get_by_role("heading", level=1)).to_have_text("Received")

    tuner = people.desk(browser, trial)
    people.sign_in(tuner, trial)
    letter = tuner.locator("article.paper")
    people.until_there(tuner, f"/desk/case/{number}/", letter)
    expect(letter).to_contain_text("With the rider on, more tube shows after the fork rose (118 mm) than after it sank "
                                   "(102 mm).")
    expect(letter).to_contain_text("Were these two readings swapped?")
    assert page.problems == tuner.problems == []
