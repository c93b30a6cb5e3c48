"""A doubled click on a page that shows a secret once is one request, since the first may end the session it came in."""
from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Route

from tests.journeys.kept_phone import SITE, keeping_phone

pytestmark = pytest.mark.browser
FORM = ('<form method="post" action="/made/"><input type="hidden" name="once" value="word">'
        "<button>Use it</button></form>")
COMES_BACK = "() => { dispatchEvent(new PageTransitionEvent('pageshow', {persisted: true})); }"


def test_a_doubled_click_sends_one_request_and_whoever_comes_back_may_send_again(browser: Browser) -> None:
    asked: list[str] = []

    def made(route: Route) -> None:
        asked.append(route.request.post_data or "")
        route.fulfill(status=204)  # the page stays

    with keeping_phone(browser, ("reports/once.js",), FORM) as page:
        page.route(f"{SITE}/made/", made)
        for times in (1, 2):
            page.get_by_role("button").click()
            page.wait_for_timeout(300)
            page.get_by_role("button").click()
            page.wait_for_timeout(300)
            assert asked == times * ["once=word"]
            page.evaluate(COMES_BACK)
