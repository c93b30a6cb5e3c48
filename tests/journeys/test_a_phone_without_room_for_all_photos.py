"""Where the phone has room for one photo of a choice alone, it says which, and a second choice doubles none."""
from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.journeys.kept_phone import NUMBER, PAGE, keeping_phone

pytestmark = pytest.mark.browser
FORM = """<script id="kept-words" type="application/json">
  {"photos_kept": "Kept: {names}.", "photos_left": "No room for: {names}."}</script>
<form><div data-place="travel"><input type="file" name="photo"><input name="caption" value="the tie"></div></form>"""
NO_ROOM = """() => { // a phone finds out at the very end that something does not fit
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (record) {
        const request = put.call(this, record);
        if (record.name === "second.jpg") request.addEventListener("success", () => this.transaction.abort());
        return request;
    };
    window.room = () => { IDBObjectStore.prototype.put = put; };
}"""
TAKE = "([number, page]) => kept.takePhotos(document.forms[0], page, number, 1)"
BOTH: Any = [{"name": f"{name}.jpg", "mimeType": "image/jpeg", "buffer": name.encode()} for name in ("first", "second")]


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    with keeping_phone(browser, ("intake/kept_store.js", "intake/photo.js"), FORM) as page:
        page.evaluate(NO_ROOM)
        yield page


def taken(page: Page) -> int:
    left: int = page.evaluate(TAKE, [NUMBER, PAGE])
    return left


def kept_photos(page: Page) -> list[str]:
    names: list[str] = page.evaluate(
        "async (number) => (await kept.all('photos', number)).map((one) => `${one.caption}: ${one.name}`)", NUMBER)
    return names


def picked(page: Page) -> list[str]:
    names: list[str] = page.evaluate("() => [...document.querySelector('[name=photo]').files].map((file) => file.name)")
    return names


def test_the_one_that_fits_is_kept_and_the_other_stays_picked(phone: Page) -> None:
    phone.locator("[name=photo]").set_input_files(BOTH)
    assert taken(phone) == 1
    assert (kept_photos(phone), picked(phone)) == (["the tie: first.jpg"], ["second.jpg"])
    expect(phone.get_by_role("alert")).to_have_text("Kept: first.jpg. No room for: second.jpg.")
    phone.evaluate("() => window.room()")
    assert taken(phone) == 0
    assert (kept_photos(phone), picked(phone)) == (["the tie: first.jpg", "the tie: second.jpg"], [])
    expect(phone.get_by_role("alert")).to_have_count(0)


def test_both_picked_again_are_there_once(phone: Page) -> None:
    for _time in range(2):
        phone.locator("[name=photo]").set_input_files(BOTH)
        phone.locator("[name=caption]").fill("the tie")
        taken(phone)
    assert kept_photos(phone) == ["the tie: first.jpg"]
    phone.evaluate("() => window.room()")
    phone.locator("[name=photo]").set_input_files(BOTH)
    taken(phone)
    assert kept_photos(phone) == ["the tie: first.jpg", "the tie: second.jpg"]
