"""An answer typed at the very moment in which a page of the form comes back from its sending is not lost."""
from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.journeys.kept_phone import NUMBER, PAGE, SITE, keeping_phone, offline_worker, record

pytestmark = pytest.mark.browser
SCRIPTS = ("intake/kept_store.js", "intake/kept_send.js")
MORE = [["complaint.words", "It stops dead, two thirds down"]]
TYPE_AS_IT_IS_READ = """async ([kind, method, before, typed]) => {
    await kept.put("answers", before);
    const read = self[kind].prototype[method];
    self[kind].prototype[method] = function (key) {
        const found = read.call(this, key);
        self[kind].prototype[method] = read;
        self.typing = kept.keep(typed);
        return found;
    };
}"""
KEPT = "async (number) => { await self.typing; return (await kept.all('answers', number))[0]; }"


def typed_as_it_is_read(page: Page, kind: str, method: str, state: str) -> None:
    """Let the next word be typed as soon as somebody has asked for what is kept by now."""
    typed = record(entries=MORE, state="typed", stamp="2")
    page.evaluate(TYPE_AS_IT_IS_READ, [kind, method, record(state=state), typed])


def kept_by_now(page: Page) -> dict[str, Any]:
    found: dict[str, Any] = page.evaluate(KEPT, NUMBER)
    return found


def test_an_answer_typed_while_its_page_comes_back_from_the_sending_stays(browser: Browser) -> None:
    with keeping_phone(browser, SCRIPTS) as page:
        page.route(f"{SITE}/{NUMBER}/kept/form/complaint/", lambda route: route.fulfill(json={"revision": 5}))
        typed_as_it_is_read(page, "IDBObjectStore", "get", "waiting")
        assert page.evaluate("(number) => kept.send(number)", NUMBER) == "done"
        left = kept_by_now(page)
    assert (left["entries"], left["state"]) == (MORE, "typed")
    assert (left["revision"], left["base"]) == (5, record()["entries"])  # what was sent is not taken for another's


def test_an_answer_typed_while_its_page_is_put_down_as_waiting_stays(browser: Browser) -> None:
    with keeping_phone(browser, SCRIPTS) as page:
        page.evaluate("""(scope) => {
            self.importScripts = self.skipWaiting = () => {};
            self.registration = { scope };
            self.fetch = () => Promise.reject(new TypeError("no signal"));
        }""", f"{SITE}/{NUMBER}/")
        page.add_script_tag(content=offline_worker())
        typed_as_it_is_read(page, "IDBIndex", "getAll", "submitted")
        page.evaluate("(path) => posted(new Request(path), new URL(path, location.href)).catch(() => {})", PAGE)
        left = kept_by_now(page)
    assert (left["entries"], left["state"]) == (MORE, "typed")
