"""Photos where there is no signal: kept, made small, cut off and gone on with, and never put into another round."""
from __future__ import annotations

import base64
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, Route, expect

from deploy.trial import Trial
from tests.journeys.people import phone, press
from tests.journeys.test_a_garage_without_a_signal import opened, waiting

pytestmark = [pytest.mark.browser, pytest.mark.machine]
PHOTO_IN_THE_PAGE = """(quality) => {
    const canvas = document.createElement("canvas"), pen = canvas.getContext("2d");
    [canvas.width, canvas.height] = [1400, 1000];
    const noise = pen.createImageData(1400, 1000);
    for (let at = 0; at < noise.data.length; at++) noise.data[at] = at % 4 === 3 ? 255 : Math.random() * 256;
    pen.putImageData(noise, 0, 0);
    return canvas.toDataURL("image/jpeg", quality).split(",")[1];
}"""


@pytest.fixture
def rider(browser: Browser, trial: Trial) -> Iterator[Page]:
    page = phone(browser, trial)
    yield page
    page.context.close()


def add_photo(page: Page) -> Locator:
    """Open the fold in which a photo is added, and return where it is picked."""
    page.locator("summary", has_text="Add a photo").click()
    return page.locator("input[name=photo]")


def test_a_photo_that_is_cut_off_goes_on_where_it_stopped(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}bench/travel/")
    picture = base64.b64decode(rider.evaluate(PHOTO_IN_THE_PAGE, 0.75))
    assert 300_000 < len(picture) < 900_000  # small enough to go up as it is
    offsets: list[int] = []

    def cut(route: Route) -> None:
        if route.request.method != "PATCH":
            route.continue_()
            return
        offsets.append(int(route.request.headers["upload-offset"]))
        route.abort() if len(offsets) == 3 else route.continue_()

    rider.context.route("**/photo/new/**", cut)
    add_photo(rider).set_input_files({"name": "tie.jpg", "mimeType": "image/jpeg", "buffer": picture})
    rider.get_by_label("What it shows").fill("the tie")
    press(rider, "Save with photo")
    expect(waiting(rider)).to_contain_text("1 photo waits on this phone.")
    press(rider, "Send now")
    expect(rider.get_by_role("img", name="the tie")).to_be_visible()
    expect(waiting(rider)).to_be_hidden()
    assert offsets[0] == 0 < offsets[2] == offsets[3] and offsets.count(0) == 1


def test_a_photo_that_could_not_be_used_is_still_on_the_phone_and_can_be_sent_again(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}bench/travel/")
    cut_short = base64.b64decode(rider.evaluate(PHOTO_IN_THE_PAGE, 0.75))[:-20_000]
    add_photo(rider).set_input_files(
        {"name": "tie.jpg", "mimeType": "image/jpeg", "buffer": cut_short})
    rider.get_by_label("What it shows").fill("the tie")
    press(rider, "Save with photo")
    said = "This photo is damaged or cut short"
    expect(waiting(rider)).to_contain_text(said, timeout=30_000)
    rider.evaluate("""(said) => {  // written down as it happens: the second answer may come between two looks
        const panel = document.querySelector("#waiting");
        window.said = [];
        new MutationObserver(() => window.said.push(panel.textContent.includes(said)))
            .observe(panel, {childList: true, subtree: true, characterData: true});
    }""", said)
    with rider.expect_request("**/photo/new/"):
        waiting(rider).get_by_role("button", name="Send again").click()
    rider.wait_for_function("() => window.said.includes(false) && window.said.at(-1)", timeout=30_000)
    rider.once("dialog", lambda sure: sure.accept())
    waiting(rider).get_by_role("button", name="Throw away").click()
    expect(waiting(rider)).to_be_hidden()
    rider.reload()
    expect(rider.locator("#photos")).to_contain_text("the tie: This photo is damaged")  # one notice, of the last time
    assert rider.locator("#photos").inner_text().count("damaged") == 1
    press(rider, "Take this notice away")
    expect(rider.locator("#photos")).not_to_contain_text("damaged")


def test_a_photo_taken_without_a_signal_waits_and_is_made_small(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}bench/travel/")
    picture = base64.b64decode(rider.evaluate(PHOTO_IN_THE_PAGE.replace("1400", "2600").replace("1000", "2000"), 0.9))
    rider.context.set_offline(True)
    add_photo(rider).set_input_files({"name": "tie.jpg", "mimeType": "image/jpeg", "buffer": picture})
    press(rider, "Save with photo")
    expect(waiting(rider)).to_contain_text("1 photo waits on this phone.")
    rider.reload()
    expect(waiting(rider)).to_contain_text("1 photo waits on this phone.")
    sizes: list[int] = []
    rider.context.on("request", lambda request: request.method == "POST" and request.url.endswith("/photo/new/")
                     and sizes.append(int(request.headers["upload-length"])))
    rider.context.set_offline(False)
    expect(waiting(rider)).to_be_hidden()
    rider.goto(f"{case}bench/travel/")
    expect(rider.locator("ul.photos img")).to_have_attribute("width", "2000")
    assert sizes and sizes[0] < 0.8 * len(picture)


def test_a_photo_that_waited_while_the_next_round_was_opened_is_asked_about(rider: Page) -> None:
    _, case = opened(rider)
    rider.goto(f"{case}bench/travel/")
    picture = base64.b64decode(rider.evaluate(PHOTO_IN_THE_PAGE, 0.5))
    rider.context.set_offline(True)
    add_photo(rider).set_input_files({"name": "tie.jpg", "mimeType": "image/jpeg", "buffer": picture})
    press(rider, "Save with photo")
    expect(waiting(rider)).to_contain_text("1 photo waits on this phone.")
    number = case.rstrip("/").rpartition("/")[2]
    rider.evaluate("""async (number) => { // as if it had been taken in the round before
        for (const photo of await kept.all("photos", number)) await kept.put("photos", { ...photo, round: 7 });
    }""", number)
    rider.context.set_offline(False)
    expect(waiting(rider)).to_contain_text("another round of this case")
    with rider.expect_request("**/photo/new/") as sent:
        waiting(rider).get_by_role("button", name="Add it to this round").click()
    assert "round=1" in (sent.value.post_data or "")
    expect(waiting(rider)).to_be_hidden()
    rider.goto(f"{case}bench/travel/")
    expect(rider.locator("ul.photos img")).to_have_count(1)
