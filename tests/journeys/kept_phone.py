"""A page that has the phone's keeping scripts on it and nothing else, served to a real browser without a server."""
from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from playwright.sync_api import Browser, Page, Route

SITE = "https://phone.example"
NUMBER = "FB-AAAAAA"
PAGE = f"/{NUMBER}/form/complaint/"


@contextmanager
def keeping_phone(browser: Browser, scripts: tuple[str, ...], body: str = "") -> Iterator[Page]:
    """Open the page with these scripts; every address that is not one of them is a route of the test's own."""
    tags = "".join(f'<script src="/static/{name}"></script>' for name in scripts)
    html = f'<!doctype html><html lang="en"><head><title>Kept</title></head><body>{body}{tags}</body></html>'
    context = browser.new_context()
    page = context.new_page()
    page.set_default_timeout(20_000)
    page.route(f"{SITE}/**", lambda route: _serve(route, html))
    page.goto(SITE + PAGE)
    try:
        yield page
    finally:
        context.close()


def _serve(route: Route, html: str) -> None:
    path = route.request.url.removeprefix(SITE)
    if path == PAGE:
        route.fulfill(body=html, content_type="text/html; charset=utf-8")
    elif path.startswith("/static/"):
        route.fulfill(path=str(finders.find(path.removeprefix("/static/"))))
    elif path == f"/{NUMBER}/kept/":
        route.fulfill(json={"token": "key"})
    else:
        route.fulfill(status=404, json={})


def offline_worker() -> str:
    """Return the worker's script as the service sends it."""
    return render_to_string("intake/offline_worker.js")


def record(**more: Any) -> dict[str, Any]:
    """Return a page's answers as they wait on the phone."""
    words = [["complaint.words", "It stops dead"]]
    return {"url": f"{PAGE}#round-1", "case": NUMBER, "round": 1, "revision": 4, "title": "What is wrong",
            "base": [["complaint.words", ""]], "entries": words, "state": "waiting", "stamp": "1", **more}
