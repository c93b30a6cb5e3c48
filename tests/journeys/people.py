"""The people of the journeys and what they do with a page.  They find things by what is written on them."""
from __future__ import annotations

import re
import time
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Locator, Page, expect

from deploy.trial import Trial

PATIENCE = 20_000
"""Milliseconds: a busy machine takes a while, and a wait ends as soon as there is what it waits for."""
expect.set_options(timeout=PATIENCE)
WAYS = {"measured", "documented", "remembered", "guessed"}


def phone(browser: Browser, trial: Trial, **settings: Any) -> Page:
    """A fresh phone: no cookies, small screen.  A script that fails or is blocked fails the journey."""
    return _page(browser, trial, 390, 844, **settings)


def desk(browser: Browser, trial: Trial) -> Page:
    """A fresh browser on a desk."""
    return _page(browser, trial, 1280, 900)


def _page(browser: Browser, trial: Trial, width: int, height: int, **settings: Any) -> Page:
    size: Any = {"width": width, "height": height}
    page = browser.new_context(base_url=trial.site, viewport=size, **settings).new_page()
    page.set_default_timeout(PATIENCE)
    page.problems = []  # type: ignore[attr-defined]
    page.on("pageerror", lambda error: page.problems.append(str(error)))  # type: ignore[attr-defined]
    page.on("console", lambda said: said.type == "error" and page.problems.append(  # type: ignore[attr-defined]
        f"{said.text} {said.location}"))
    return page


def press(page: Page, words: str) -> None:
    """Press the button or link with these words on it."""
    either = page.get_by_role("button", name=words, exact=True).or_(page.get_by_role("link", name=words, exact=True))
    either.first.click()


def start_case(page: Page, name: str, email: str) -> str:
    """Start a case from the home page, come to the first questions and return the private link."""
    page.goto("/")
    press(page, "Start a case")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Your e-mail address").fill(email)
    press(page, "Start")
    link = page.locator(".token").inner_text()
    press(page, "Go on to the first questions")
    return link


def enter(page: Page, link: str) -> str:
    """Open a private link and return the case's number."""
    page.goto(link)
    page.get_by_role("main").get_by_role("button").first.click()
    page.wait_for_url(lambda address: "/link/" not in address)
    return number_of(page)


def number_of(page: Page) -> str:
    """Return the number of the case whose page this is."""
    return urlsplit(page.url).path.split("/")[1]


def answer(page: Page, station: str, answers: Mapping[str, Any], save: str = "Save and show all pages") -> None:
    """Go to a page of the form, type what one knows, and save."""
    _link_to(page, station).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(station)
    fill(page, answers)
    press(page, save)


def _link_to(page: Page, station: str) -> Locator:
    """The way from the case's page to a page of the form, which may lie in a folded list."""
    page.wait_for_url(re.compile(r"/FB-\w+/$"))
    link = page.get_by_role("link").filter(has=page.get_by_text(station, exact=True))
    if not link.count():
        page.locator("details:not([open])").filter(has_text=station).locator("summary").first.click()
    return link.first


def fill(page: Page, answers: Mapping[str, Any]) -> None:
    """Type and tick what one knows on the page that is open."""
    for path, raw in answers.items():
        value, known = (raw["value"], raw.get("known")) if isinstance(raw, Mapping) else (raw, None)
        _put(page, path, value)
        if known in WAYS:
            page.locator(f'[name="{path}~known"]').select_option(known)


def _put(page: Page, path: str, value: Any) -> None:
    if isinstance(value, list):
        for one in value:
            _put(page, path, one)
        return
    fold = page.locator("details:not([open])").filter(has=page.locator(f'[name="{path}"]'))
    if fold.count():
        fold.locator("> summary").first.click()
    if isinstance(value, bool):
        value = "yes" if value else "no"
    text = page.locator(f'input[type=text][name="{path}"], textarea[name="{path}"]')
    pick = page.locator(f'select[name="{path}"]')
    if text.count():
        text.fill(str(value))
    elif pick.count():
        pick.select_option(str(value))
    else:
        page.locator(f'[name="{path}"][value="{value}"]').check()


def sign_in(page: Page, trial: Trial) -> None:
    """Sign in at the desk."""
    page.goto("/desk/")
    page.get_by_label("Name").fill(trial.name)
    page.get_by_label("Password").fill(trial.password)
    press(page, "Sign in")
    expect(page.get_by_role("heading", name="Queue")).to_be_visible()


def until_there(page: Page, address: str, wanted: Locator) -> None:
    """Look at a page again and again until the worker's part shows on it."""
    page.goto(address)
    end = time.monotonic() + 60
    while not wanted.count():
        assert time.monotonic() < end, f"{wanted} is not on {page.url}"
        time.sleep(0.2)
        page.reload()
