"""A photo that the service will not take just now waits, and what stands behind it on the phone is sent."""
from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, Route

from tests.journeys.kept_phone import NUMBER, PAGE, SITE, keeping_phone, record

pytestmark = pytest.mark.browser
TWO_PHOTOS = """async ([number, page]) => {
    const photo = { case: number, round: 1, page, place: "travel", path: "", caption: "", state: "waiting", at: "" };
    const blob = new Blob(["jpeg"]);
    for (const caption of ["first", "second"]) await kept.put("photos", { ...photo, caption, blob });
}"""
SEND = """(number) => Promise.race([kept.send(number),
    new Promise((resolve) => setTimeout(() => resolve("holds the lock"), 8000))])"""
LEFT = """async (number) => [...await kept.all("answers", number), ...await kept.all("photos", number)]
    .map((one) => [one.caption || one.title, one.state])"""


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    with keeping_phone(browser, ("intake/kept_store.js", "intake/kept_send.js")) as page:
        page.evaluate(TWO_PHOTOS, [NUMBER, PAGE])
        page.evaluate("(record) => kept.put('answers', record)", record())
        yield page


def the_first_photo_meets(page: Page, meets: Callable[[Route], None]) -> None:
    """Let the service answer as it does, but to the first photo's pieces."""
    def photo(route: Route) -> None:
        asked = route.request
        if asked.method == "POST":
            name = "first" if "first" in (asked.post_data or "") else "second"
            route.fulfill(status=201, headers={"Location": f"/{NUMBER}/photo/new/{name}/"})
        elif asked.method == "PATCH" and asked.url.endswith("first/"):
            meets(route)
        else:
            route.fulfill(json={"state": "made"}, headers={"Upload-Offset": "4"})

    page.route(f"{SITE}/{NUMBER}/photo/new/**", photo)
    page.route(f"{SITE}/{NUMBER}/kept/form/complaint/", lambda route: route.fulfill(json={"revision": 5}))


@pytest.mark.parametrize(("status", "headers", "said"), [
    (503, {"Retry-After": "1"}, "overloaded"), (204, {"Upload-Offset": "0"}, "fault")])
def test_a_photo_that_comes_no_further_waits_and_the_others_go_on(
    phone: Page, status: int, headers: dict[str, str], said: str,
) -> None:
    the_first_photo_meets(phone, lambda route: route.fulfill(status=status, headers=headers))
    assert phone.evaluate(SEND, NUMBER) == said
    assert phone.evaluate(LEFT, NUMBER) == [["What is wrong", "sent"], ["first", "waiting"]]


def test_a_page_saved_while_a_photo_is_on_its_way_is_sent_too(phone: Page) -> None:
    later = record(url="/FB-AAAAAA/form/bike/#round-1", title="The bike", stamp="3")
    phone.route(f"{SITE}/{NUMBER}/kept/form/bike/", lambda route: route.fulfill(json={"revision": 6}))
    the_first_photo_meets(phone, lambda route: route.fulfill(json={"state": "made"}, headers={"Upload-Offset": "4"}))
    phone.evaluate("""(later) => { // as another page of the form does it
        const ask = self.fetch;
        self.fetch = async (address, options) => {
            if (options.method === "PATCH" && address.endsWith("second/")) await kept.put("answers", later);
            return ask(address, options);
        };
    }""", later)
    assert phone.evaluate(SEND, NUMBER) == "done"
    assert phone.evaluate(LEFT, NUMBER) == [["The bike", "sent"], ["What is wrong", "sent"]]
