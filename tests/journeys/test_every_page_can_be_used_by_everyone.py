"""Every page in every state, on a narrow phone and a desk, by day and by night: WCAG 2.2 AA as far as axe sees it."""
from __future__ import annotations

import re
from importlib.resources import files
from urllib.parse import urljoin, urlsplit

import pytest

from tests.journeys import people

pytestmark = pytest.mark.browser

AXE = (files("axe_playwright_python") / "axe.min.js").read_text()
RUN = """async (only) => {
    const asked = only.length ? {runOnly: only} : {rules: {"target-size": {enabled: true}}};
    const places = found => found.nodes.map(node => node.html.slice(0, 160)).slice(0, 3).join(" | ");
    return (await axe.run(document, asked)).violations.map(v => `${v.id}: ${v.help} — ${places(v)}`);
}"""
LOOKS = [(320, "light"), (320, "dark"), (1280, "light"), (1280, "dark")]
OF_LOOKS = ["color-contrast", "target-size", "scrollable-region-focusable", "link-in-text-block", "aria-hidden-focus"]
"""What depends on width and colours; all other rules are asked once a page, in the first look."""
NOT_PAGES = re.compile(r"\.(pdf|zip|svg|png|jpe?g|json|csv)$|/photo/|/link/|/data/$|/take-along/$|/file/$|/pdf/$")
FORM = re.compile(r"^/[^/]+/(form|bench)/")
HEAVIEST = 150_000
"""Bytes of a page with all it loads, photos left out."""


@pytest.fixture(scope="module")
def full(trial, cases):
    """The installation, and cases in every state."""
    return trial, cases


def pages_from(page, start, belongs):
    """Every address that links lead to from ``start``, itself first, each opened once."""
    waiting, seen = [start], set()
    while waiting:
        address = waiting.pop(0)
        if address in seen:
            continue
        seen.add(address)
        answer = page.goto(address)
        assert answer.status < 400, f"{address}: {answer.status}"
        if "text/html" not in (answer.header_value("content-type") or ""):
            continue
        if urlsplit(page.url).path != address:
            waiting.append(urlsplit(page.url).path)
            continue
        yield address
        for href in page.eval_on_selector_all("a[href]", "links => links.map(a => a.getAttribute('href'))"):
            path = urlsplit(urljoin(page.url, href)).path
            if belongs(path) and not NOT_PAGES.search(path):
                waiting.append(path)


def faults_of_page(page, where):
    """What axe finds and what stands out on the side, in each look."""
    found = []
    page.evaluate(AXE)
    for width, scheme in LOOKS:
        page.set_viewport_size({"width": width, "height": 800})
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        only = [] if (width, scheme) == LOOKS[0] else OF_LOOKS
        found += [f"{where} at {width} px, {scheme}: {words}" for words in page.evaluate(RUN, only)]
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > width:
            found.append(f"{where} is {wide} px wide at {width} px")
    return found


def unnamed_fields(page, where):
    """Fields whose only name is a placeholder: axe lets those pass."""
    bare = page.eval_on_selector_all(
        "input:not([type=hidden]):not([type=submit]), select, textarea",
        "all => all.filter(f => !f.labels?.length && !f.getAttribute('aria-label') "
        "&& !f.getAttribute('aria-labelledby')).map(f => f.outerHTML.slice(0, 120))")
    return [f"{where}: a field without a name: {field}" for field in bare]


def checked(page, start, belongs):
    found = []
    for address in pages_from(page, start, belongs):
        found += unnamed_fields(page, address) + faults_of_page(page, address)
    return found


STATES = ["half answered", "stopped", "workshop only", "ready", "advised", "asked", "closed", "next round", "withdrawn"]


@pytest.mark.parametrize("state", STATES)
def test_a_riders_pages_have_no_fault(full, browser, state):
    """The whole form once; of the other states the pages around it."""
    trial, cases = full
    number, token = cases[state]
    page = people.phone(browser, trial)
    page.goto(f"/link/{token}/")
    found = unnamed_fields(page, "the link") + faults_of_page(page, "the link")
    page.get_by_role("main").get_by_role("button").first.click()
    found += checked(page, f"/{number}/", lambda path: path.startswith(f"/{number}/")
                     and (state == "half answered" or not FORM.match(path)))
    assert not found, "\n".join(found)
    assert page.problems == []


def test_the_first_pages_have_no_fault(full, browser):
    page = people.phone(browser, full[0])
    found = checked(page, "/", lambda path: path in ("/", "/start/", "/link/new/", "/desk/", "/desk/sign-in/"))
    page.goto("/no/such/page/")
    assert not (found := found + faults_of_page(page, "a page that is not there")), "\n".join(found)


def test_the_desks_pages_have_no_fault(full, browser):
    trial, cases = full
    page = people.desk(browser, trial)
    people.sign_in(page, trial)
    numbers = {cases[state][0] for state in ("workshop only", "ready", "advised", "closed")}
    found = checked(page, "/desk/", lambda path: path == "/desk/" or any(
        path.startswith(f"/desk/case/{number}/") for number in numbers))
    assert not found, "\n".join(found)


def test_no_page_of_the_form_weighs_more_than_a_weak_signal_carries(full, browser):
    trial, cases = full
    number, token = cases["half answered"]
    page = people.phone(browser, trial)
    page.goto(f"/link/{token}/")
    page.get_by_role("main").get_by_role("button").first.click()
    heavy = {}
    for address in pages_from(page, f"/{number}/", lambda path: path.startswith(f"/{number}/")):
        page.reload(wait_until="load")
        weight = page.evaluate("[...performance.getEntriesByType('navigation'), ...performance.getEntriesByType("
                               "'resource')].reduce((sum, entry) => sum + entry.encodedBodySize, 0)")
        if weight > HEAVIEST:
            heavy[address] = weight
    assert heavy == {}
