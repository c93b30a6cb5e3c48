"""A number that is unlikely in its unit is asked back, and one tap settles it: with a signal and without one."""
import pytest
from playwright.sync_api import expect

from tests.journeys import people
from tests.journeys.test_a_garage_without_a_signal import opened, waiting

pytestmark = [pytest.mark.browser, pytest.mark.machine]
STANCHION = "fork.left.stanchion_diameter_mm"


@pytest.fixture
def rider(browser, trial):
    page = people.phone(browser, trial)
    yield page
    unforeseen = [said for said in page.problems if "ERR_INTERNET_DISCONNECTED" not in said]
    assert unforeseen == [], "but for what the missing signal stops"
    page.context.close()


def asked_back(page, case, section, path, number):
    page.goto(f"{case}form/{section}/")
    people.fill(page, {path: number})
    people.press(page, "Save and go on")
    expect(page.get_by_role("heading", name="Is this right?").or_(
        page.get_by_role("alert").filter(has_text="look at again")).first).to_be_visible()


def as_kept(page, case, section, path):
    """Number and unit as another phone would be shown them."""
    page.goto(f"{case}form/{section}/?keep=1")
    return page.locator(f"[name='{path}']").input_value(), page.locator(f"[name='{path}~unit']").input_value()


def test_yes_it_was_inches(rider):
    _, case = opened(rider)
    asked_back(rider, case, "legs", STANCHION, "1,7")
    rider.get_by_role("button", name="Yes, 1,7 in: 43.18 mm").click()
    expect(rider.get_by_text("1,7 in = 43.18 mm")).to_be_visible()
    expect(rider.get_by_role("button", name="Yes, 1,7 in")).to_have_count(0)
    assert as_kept(rider, case, "legs", STANCHION) == ("1,7", "in")
    expect(waiting(rider)).to_be_hidden()


def test_no_it_is_right_as_it_stands_and_is_not_asked_again(rider):
    _, case = opened(rider)
    asked_back(rider, case, "rider", "rider.mass_kg", "190")
    rider.get_by_role("button", name="No, 190 kg").click()
    rider.wait_for_url("**#rider-mass_kg")
    expect(rider.get_by_role("button", name="No, 190 kg")).to_have_count(0)
    assert as_kept(rider, case, "rider", "rider.mass_kg") == ("190", "kg")


def test_a_tap_without_a_signal_waits_and_is_sent_with_the_answer(rider):
    _, case = opened(rider)
    asked_back(rider, case, "legs", STANCHION, "1,7")
    rider.context.set_offline(True)
    rider.get_by_role("button", name="Yes, 1,7 in: 43.18 mm").click()
    expect(waiting(rider)).to_contain_text("1 answer waits on this phone.")
    rider.context.set_offline(False)
    expect(waiting(rider)).to_be_hidden()
    assert as_kept(rider, case, "legs", STANCHION) == ("1,7", "in")
