"""A page that the phone's worker fetches comes although the first try breaks off or the phone's store fails."""
from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.journeys.kept_phone import NUMBER, PAGE, SITE, keeping_phone, offline_worker

pytestmark = pytest.mark.browser
SCRIPTS = ("intake/kept_store.js", "intake/kept_send.js")
READ = """(path) => page(new Request(path), new URL(path, location.href)).then(
    (answer) => answer.ok ? answer.text() : `status ${answer.status}`, (error) => String(error))"""


def read_with(browser: Browser, trouble: str) -> tuple[str, int]:
    """What the worker hands the browser with this trouble, and how often it asked."""
    with keeping_phone(browser, SCRIPTS) as page:
        page.evaluate("""([scope, trouble]) => {
            self.importScripts = self.skipWaiting = () => {};
            self.registration = { scope };
            self.asked = 0;
            self.fetch = () => ++self.asked === 1 && trouble === "broken off" || trouble === "no signal"
                ? Promise.reject(new TypeError(trouble)) : Promise.resolve(new Response("the page"));
            const open = () => trouble === "no store" ? Promise.reject(new Error(trouble)) : Promise.resolve(new Map());
            Map.prototype.match = () => undefined;
            Object.defineProperty(self, "caches", { value: { open } });
        }""", [f"{SITE}/{NUMBER}/", trouble])
        page.add_script_tag(content=offline_worker())
        return page.evaluate(READ, PAGE), page.evaluate("self.asked")


def test_a_connection_that_breaks_off_once_is_tried_again(browser: Browser) -> None:
    assert read_with(browser, "broken off") == ("the page", 2)


def test_a_store_that_fails_does_not_hide_a_page_that_the_signal_brings(browser: Browser) -> None:
    assert read_with(browser, "no store") == ("the page", 1)


def test_without_a_signal_and_a_copy_the_browser_says_so_itself(browser: Browser) -> None:
    assert read_with(browser, "no signal") == ("status 0", 2)
