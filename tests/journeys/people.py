"""The people of the journeys and what they do with a page.  They find things by what is written on them."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from playwright.sync_api import Browser, Page, expect

from deploy.trial import Trial

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
    page.set_default_timeout(20_000)
    page.problems = []  # type: ignore[attr-defined]
    page.on("pageerror", lambda error: page.problems.append(str(error)))  # type: ignore[attr-defined]
    page.on("console", lambda said: said.type == "error" and page.problems.append(said.text))  # type: ignore
    return page


def press(page: Page, words: str) -> None:
    """Press the button or link with these words on it."""
    either = page.get_by_role("button", name=words, exact=True).or_(page.get_by_role("link", name=words, exact=True))
    either.first.click()


def start_case(page: Page, name: str, email: str) -> str:
    """Start a case from the first page and return its private link."""
    page.goto("/")
    press(page, "Start a case")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Your e-mail address").fill(email)
    press(page, "Start")
    link = page.locator(".token").inner_text()
    press(page, "Go on to the case")
    return link


def answer(page: Page, station: str, answers: Mapping[str, Any], save: str = "Save and show all pages") -> None:
    """Go to a page of the form, type what one knows, and save."""
    page.get_by_role("link").filter(has=page.get_by_text(station, exact=True)).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(station)
    for path, raw in answers.items():
        value, known = (raw["value"], raw.get("known")) if isinstance(raw, Mapping) else (raw, None)
        _put(page, path, value)
        if known in WAYS:
            page.locator(f'[name="{path}~known"]').select_option(known)
    press(page, save)


def _put(page: Page, path: str, value: Any) -> None:
    if isinstance(value, list):
        for one in value:
            _put(page, path, one)
        return
    if isinstance(value, bool):
        value = "yes" if value else "no"
    text = page.locator(f'input[type=text][name="{path}"], textarea[name="{path}"]')
    if text.count():
        text.fill(str(value))
    else:
        page.locator(f'[name="{path}"][value="{value}"]').check()


def sign_in(page: Page, trial: Trial) -> None:
    """Sign in at the desk."""
    page.goto("/desk/")
    page.get_by_label("Name").fill(trial.name)
    page.get_by_label("Password").fill(trial.password)
    press(page, "Sign in")
    expect(page.get_by_role("heading", name="Queue")).to_be_visible()
