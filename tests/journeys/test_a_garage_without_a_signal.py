"""A case in a garage without a signal: typed, kept, sent when there is one; two devices."""
from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from deploy.trial import Trial
from tests.journeys.people import phone, press

pytestmark = [pytest.mark.browser, pytest.mark.machine]
TRAVEL = "bench.travel.used_mm"
GONE = "(number) => self.kept && caches.has(kept.cacheName(number)).then((has) => !has)"
"""The pages of a case are not on the phone any more; asked of a page whose scripts may be still to come."""


@pytest.fixture
def rider(browser: Browser, trial: Trial) -> Iterator[Page]:
    page = phone(browser, trial)
    yield page
    page.context.close()


def opened(page: Page) -> tuple[str, str]:
    """Start a case, come to its page and wait until all its pages are on the phone; return link and address."""
    page.goto("/start/")
    page.get_by_label("Your name").fill("Rider")
    press(page, "Start")
    link = page.locator(".token").inner_text()
    page.goto(re.sub(r"link/$", "", page.url))
    expect(page.locator("#kept-ready")).to_be_visible(timeout=60_000)
    page.reload()  # the worker has taken over from here on
    return link, page.url


def field(page: Page, path: str) -> Any:
    return page.locator(f'input[type=text][name="{path}"], textarea[name="{path}"]')


def waiting(page: Page) -> Any:
    return page.get_by_role("region", name="What waits on this phone")


def test_two_pages_answered_without_a_signal_are_sent_when_it_is_back(rider: Page) -> None:
    _, case = opened(rider)
    rider.context.set_offline(True)
    rider.goto(f"{case}form/complaint/")
    field(rider, "complaint.words").fill("It stops dead")
    press(rider, "Save and go on")
    rider.wait_for_url("**#waiting")  # the words stand on the page before as well
    expect(waiting(rider)).to_contain_text("1 answer waits on this phone.")
    rider.goto(f"{case}bench/travel/")
    expect(rider.locator("svg.drawing").first).to_be_visible()
    field(rider, TRAVEL).fill("101")
    rider.locator("select[name='bench.travel.used_mm~known']").select_option("measured")
    press(rider, "Save and go on")
    rider.wait_for_url("**#waiting")
    expect(waiting(rider)).to_contain_text("2 answers wait on this phone.")

    rider.goto(f"{case}bench/travel/")
    rider.reload()
    expect(field(rider, TRAVEL)).to_have_value("101")

    rider.context.set_offline(False)
    expect(waiting(rider)).to_be_hidden()
    assert _as_the_server_has_it(rider, f"{case}bench/travel/", TRAVEL) == "101"
    assert "It stops dead" in rider.request.get(f"{case}form/complaint/").text()


def _as_the_server_has_it(page: Page, address: str, path: str) -> str:
    found = re.search(f'name="{re.escape(path)}" value="([^"]*)"', page.request.get(address).text())
    assert found
    return found[1]


def test_words_typed_and_not_saved_survive_a_dead_battery(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}form/complaint/")
    field(rider, "complaint.words").fill("It stops dead, two thirds down")
    expect(waiting(rider)).to_contain_text("1 answer waits on this phone.")
    rider.reload()
    expect(field(rider, "complaint.words")).to_have_value("It stops dead, two thirds down")
    press(rider, "Save and go on")
    rider.wait_for_url(lambda address: not address.endswith("/form/complaint/"))
    rider.goto(case)
    expect(waiting(rider)).to_be_hidden()
    assert "two thirds down" in rider.request.get(f"{case}form/complaint/").text()


def test_what_two_devices_say_stands_side_by_side_until_the_rider_picks(
    rider: Page, browser: Browser, trial: Trial,
) -> None:
    link, case = opened(rider)
    rider.goto(f"{case}bench/travel/")
    rider.context.set_offline(True)
    field(rider, TRAVEL).fill("101")
    press(rider, "Save and go on")
    expect(waiting(rider)).to_contain_text("wait")

    other = phone(browser, trial)
    other.goto(link)
    other.get_by_role("button").first.click()
    other.wait_for_url(lambda address: "/link/" not in address)
    other.goto(f"{case}bench/travel/")
    field(other, TRAVEL).fill("98")
    press(other, "Save")
    expect(other.get_by_text("Saved:")).to_be_visible()
    other.context.close()

    rider.context.set_offline(False)
    side_by_side = waiting(rider).get_by_role("group")
    expect(side_by_side).to_contain_text("101")
    expect(side_by_side).to_contain_text("98")
    assert _as_the_server_has_it(rider, f"{case}bench/travel/", TRAVEL) == "98"
    press(rider, "Use what I picked")
    expect(waiting(rider).get_by_role("alert")).to_be_visible()
    side_by_side.get_by_text("On this phone").click()
    press(rider, "Use what I picked")
    expect(waiting(rider)).to_be_hidden()
    assert _as_the_server_has_it(rider, f"{case}bench/travel/", TRAVEL) == "101"


def test_answers_that_could_not_be_taken_in_stay_on_the_phone(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}form/complaint/")
    too_long = "It stops dead. " * 4000
    rider.evaluate("() => document.querySelectorAll('[maxlength]').forEach((one) => one.removeAttribute('maxlength'))")
    field(rider, "complaint.words").fill(too_long)
    press(rider, "Save and go on")
    expect(rider.get_by_role("alert").first).to_be_visible()
    expect(waiting(rider)).to_contain_text("1 answer waits on this phone.")
    kept = rider.evaluate("(number) => kept.all('answers', number)", case.rstrip("/").rpartition("/")[2])
    assert [(one["state"], dict(one["entries"])["complaint.words"]) for one in kept] == [("typed", too_long)]
    rider.problems.clear()  # type: ignore[attr-defined]  # the refusal itself


def test_answers_of_one_round_and_of_the_next_are_kept_apart(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}form/complaint/")
    field(rider, "complaint.words").fill("Of the first round")
    expect(waiting(rider)).to_contain_text("1 answer waits on this phone.")
    answers = "(number) => kept.all('answers', number)"
    number = case.rstrip("/").rpartition("/")[2]

    def of_round_two(route: Route) -> None:
        answer = route.fetch()
        route.fulfill(response=answer, body=answer.text().replace('data-round="1"', 'data-round="2"'))

    rider.context.route("**/form/complaint/", of_round_two)
    rider.reload()
    expect(field(rider, "complaint.words")).to_have_value("")
    field(rider, "complaint.words").fill("Of the second")
    expect(waiting(rider)).to_contain_text("2 answers wait on this phone.")
    words = [dict(one["entries"])["complaint.words"] for one in rider.evaluate(answers, number)]
    assert sorted(words) == ["Of the first round", "Of the second"]


def test_what_cannot_wait_stays_on_the_page_as_it_was_typed(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}changes/")
    rider.locator("textarea[name=changes]").fill("Stiffer springs")
    rider.context.set_offline(True)
    press(rider, "Save")
    expect(waiting(rider)).to_contain_text("That needs a signal")
    expect(rider.locator("textarea[name=changes]")).to_have_value("Stiffer springs")
    rider.context.set_offline(False)
    press(rider, "Save")
    expect(rider.locator(".saved")).to_be_visible()


def test_a_phone_that_is_full_saves_all_the_same(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}bench/travel/")
    rider.evaluate("""() => {
        IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); };
    }""")
    field(rider, TRAVEL).fill("101")
    with rider.expect_navigation():
        press(rider, "Save and go on")
    assert _as_the_server_has_it(rider, f"{case}bench/travel/", TRAVEL) == "101"


def test_a_page_on_which_nothing_was_typed_is_saved_and_left_too(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}form/complaint/")
    with rider.expect_navigation():
        press(rider, "Save and go on")
    assert "/form/complaint/" not in rider.url


def test_a_page_that_meets_a_fault_stays_and_does_not_hold_back_the_others(rider: Page) -> None:
    # The page alone is to send here: what the worker asks for does not come by this test's fault.
    rider.context.add_init_script("delete ServiceWorkerRegistration.prototype.sync;")
    _, case = opened(rider)
    rider.context.set_offline(True)
    rider.goto(f"{case}form/complaint/")
    field(rider, "complaint.words").fill("It stops dead")
    press(rider, "Save and go on")
    rider.wait_for_url("**#waiting")
    rider.goto(f"{case}bench/travel/")
    field(rider, TRAVEL).fill("101")
    press(rider, "Save and go on")
    expect(waiting(rider)).to_contain_text("2 answers wait on this phone.")
    fault = re.compile(r"/kept/form/complaint/$")
    tries = []

    def fail(route: Route) -> None:
        tries.append(route.request.url)
        route.fulfill(status=500, body="fault")

    rider.context.route(fault, fail)
    rider.context.set_offline(False)
    expect(waiting(rider)).to_contain_text("1 answer waits on this phone.")
    expect(waiting(rider)).to_contain_text("Our side could not take this one in.")
    expect(waiting(rider)).to_contain_text("It stops dead")
    assert _as_the_server_has_it(rider, f"{case}bench/travel/", TRAVEL) == "101"
    send_now = waiting(rider).get_by_role("button", name="Send now").element_handle()
    before = len(tries)
    while len(tries) < before + 2:
        rider.wait_for_timeout(100)
    # What says the same as before is not drawn anew: it would be read out again, and go from under a finger.
    assert send_now.evaluate("(button) => button.isConnected")
    rider.context.unroute(fault)
    expect(waiting(rider)).to_be_hidden()  # tried again by the page itself
    assert "It stops dead" in rider.request.get(f"{case}form/complaint/").text()


def test_a_withdrawn_case_leaves_nothing_on_the_phone(rider: Page) -> None:
    _, case = opened(rider)
    number = case.rstrip("/").rpartition("/")[2]
    assert rider.evaluate("(number) => caches.has(kept.cacheName(number))", number)
    rider.goto(f"{case}withdraw/")
    press(rider, "Withdraw the case")
    rider.wait_for_function(GONE, arg=number)
    rider.wait_for_function("() => navigator.serviceWorker.getRegistrations().then((all) => all.length === 0)")


def test_on_the_first_page_what_may_not_be_opened_any_more_is_taken_off_the_phone(rider: Page) -> None:
    _, case = opened(rider)
    number = case.rstrip("/").rpartition("/")[2]
    rider.context.clear_cookies()
    rider.goto("/")
    rider.wait_for_function(GONE, arg=number)
