"""Every page in every state, on a narrow phone and a desk, by day and by night: WCAG 2.2 AA as far as axe sees it."""
from __future__ import annotations

import re
import time
from base64 import b32decode
from importlib.resources import files
from urllib.parse import urljoin, urlsplit

import pytest

from deploy import picture_scene
from reports.totp import STEP, code_at
from tests.journeys import desk_scene, people

pytestmark = pytest.mark.browser

AXE = (files("axe_playwright_python") / "axe.min.js").read_text()
RUN = """async (only) => {
    for (const folded of document.querySelectorAll("details")) folded.open = true;
    const asked = only.length ? {runOnly: only} : {rules: {"target-size": {enabled: true}}};
    const places = found => found.nodes.map(node => node.html.slice(0, 160)).slice(0, 3).join(" | ");
    return (await axe.run(document, asked)).violations.map(v => `${v.id}: ${v.help} — ${places(v)}`);
}"""
OUT_OF_THEIR_BOX = """() => [...document.querySelectorAll("main *, header *")].filter((box) => {
    if (box.closest("svg, .visually-hidden") || !box.checkVisibility()) return false;
    const worded = [...box.childNodes].some((part) => part.nodeType === Node.TEXT_NODE && part.textContent.trim());
    const shown = getComputedStyle(box).overflowX === "visible";
    return worded && shown && box.clientWidth && box.scrollWidth > box.clientWidth + 1;
}).map((box) => box.outerHTML.slice(0, 120)).slice(0, 3)"""
"""Words that are wider than where they stand, and so lie over what stands beside them."""
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


def out_of_place(page, where, width):
    """Words that run out of where they stand, and a page that runs out of the screen."""
    found = [f"{where} at {width} px: words run out of their box: {box}" for box in page.evaluate(OUT_OF_THEIR_BOX)]
    wide = page.evaluate("document.documentElement.scrollWidth")
    return found + ([f"{where} is {wide} px wide at {width} px"] if wide > width else [])


def faults_of_page(page, where):
    """What axe finds and what stands out on the side, in each look."""
    found = []
    page.evaluate(AXE)
    for width, scheme in LOOKS:
        page.set_viewport_size({"width": width, "height": 800})
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        only = [] if (width, scheme) == LOOKS[0] else OF_LOOKS
        found += [f"{where} at {width} px, {scheme}: {words}" for words in page.evaluate(RUN, only)]
        found += out_of_place(page, where, width)
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
    page.goto("/")
    found += faults_of_page(page, "the first page, with this case")
    found += checked(page, f"/{number}/", lambda path: path.startswith(f"/{number}/")
                     and (state == "half answered" or not FORM.match(path)))
    assert not found, "\n".join(found)
    assert page.problems == []


@pytest.mark.parametrize("language", ["de", "es"])
@pytest.mark.parametrize("state", ["half answered", "advised"])
def test_longer_words_of_other_languages_find_room_on_a_narrow_phone(full, browser, state, language):
    trial, cases = full
    number, token = cases[state]
    page = people.phone(browser, trial, locale=language)
    page.set_viewport_size({"width": 320, "height": 800})
    page.goto(f"/link/{token}/")
    found = out_of_place(page, "the link", 320)
    page.get_by_role("main").get_by_role("button").first.click()
    page.goto("/")
    assert page.get_attribute("html", "lang") == language
    found += out_of_place(page, "the first page, with this case", 320)
    for address in pages_from(page, f"/{number}/", lambda path: path.startswith(f"/{number}/")):
        found += out_of_place(page, address, 320)
    assert not found, "\n".join(found)


def test_the_first_pages_have_no_fault(full, browser):
    page = people.phone(browser, full[0])
    found = checked(page, "/", lambda path: path in (
        "/", "/start/", "/link/new/", "/desk/", "/desk/sign-in/", "/api/docs/"))
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


OTHER_DESK = ("learning", "shelf", "words", "views", "filters", "shops", "people", "second-factor")
"""What the desk has beside queue and cases."""
BAD_TABLE = "kind,name,travel_mm,oil_level_book_mm\nfork,Tourer,130 kg,110\nfork,Scrambler,150,one hand\n"


@pytest.fixture(scope="module")
def everywhere(full):
    return desk_scene.made(full[0], "everywhere")[0]


def signed_in(page, door, name, password):
    page.goto(f"{door}sign-in/")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(password)
    people.press(page, "Sign in")
    page.wait_for_url(lambda address: not address.endswith(f"{door}sign-in/"))
    return page


def as_it_stands(page, where):
    """What is wrong with a page that only an answer to a form shows."""
    return unnamed_fields(page, where) + faults_of_page(page, where)


def test_the_desks_other_pages_have_no_fault(full, everywhere, browser):
    page = people.desk(browser, full[0])
    people.sign_in(page, full[0])
    found = []
    for start in OTHER_DESK:
        found += checked(page, f"/desk/{start}/", lambda path, start=start: path.startswith(f"/desk/{start}/"))
    page.goto("/desk/shelf/import/")
    page.get_by_label("Or its lines, pasted").fill(BAD_TABLE)
    people.press(page, "Look at it")
    found += as_it_stands(page, "a table that cannot be taken")
    page.goto("/desk/?state=any&q=fork")
    assert not (found := found + as_it_stands(page, "a search")), "\n".join(found)


def test_the_second_factors_pages_have_no_fault(full, everywhere, browser):
    asked = signed_in(people.desk(browser, full[0]), "/desk/", picture_scene.COLLEAGUE, picture_scene.PASSWORD)
    found = as_it_stands(asked, "the code after the password")
    new = signed_in(people.desk(browser, full[0]), "/desk/", desk_scene.NEWCOMER, desk_scene.PASSWORD)
    new.goto("/desk/second-factor/")
    new.locator("button[name=begin]").click()
    found += as_it_stands(new, "the key to scan")
    key = "".join(new.locator("form code").inner_text().split())
    new.get_by_label("The code that the phone shows").fill(code_at(b32decode(key), int(time.time() // STEP)))
    people.press(new, "Use it from now on")
    assert not (found := found + as_it_stands(new, "the recovery codes")), "\n".join(found)


def test_the_counters_pages_have_no_fault(full, everywhere, browser):
    page = people.desk(browser, full[0])
    found = checked(page, "/shop/sign-in/", lambda path: False)
    signed_in(page, "/shop/", picture_scene.COUNTER, picture_scene.PASSWORD)
    found += checked(page, "/shop/", lambda path: path.startswith("/shop/"))
    page.goto("/shop/new/")
    people.press(page, "Hand in")
    found += as_it_stands(page, "a job without a number")
    page.goto("/shop/tokens/")
    page.get_by_label("What it is for").fill("the lift")
    people.press(page, "Make the token")
    assert not (found := found + as_it_stands(page, "a new token")), "\n".join(found)


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
