"""A page with one instrument on it, served to a real browser without a server."""
from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from playwright.sync_api import Browser, Page, Route

ADDRESS = "https://phone.example/"


@contextmanager
def phone_with(browser: Browser, name: str, field_html: str, **more: Any) -> Iterator[Page]:
    """Open a phone's page that holds a form with a plain field (id and name "field") and an instrument beside it."""
    field = SimpleNamespace(id="field", path="field")
    sort = {"field": field, "instrument": more.pop("instrument", {})}
    instrument = render_to_string(f"intake/instruments/{name}.html", sort)
    head = render_to_string("intake/instruments/head.html")
    html = (f'<!doctype html><html lang="en"><head><title>Bench</title>'
            f'<link rel="stylesheet" href="/static/intake/sheet.css">{head}</head>'
            f"<body><main><form>{field_html}{instrument}</form></main></body></html>")
    context = browser.new_context(viewport={"width": 390, "height": 844}, **more)
    page = context.new_page()
    page.set_default_timeout(20_000)
    page.problems = []  # type: ignore[attr-defined]
    page.on("pageerror", lambda error: page.problems.append(str(error)))  # type: ignore[attr-defined]
    page.on("console", lambda said: said.type == "error" and page.problems.append(said.text))  # type: ignore
    page.route(f"{ADDRESS}**", lambda route: _serve(route, html))
    try:
        yield page
    finally:
        context.close()


def _serve(route: Route, html: str) -> None:
    path = route.request.url.removeprefix(ADDRESS)
    if not path:
        route.fulfill(body=html, content_type="text/html; charset=utf-8")
        return
    found = finders.find(path.removeprefix("static/"))
    if found:
        route.fulfill(path=str(found))
    else:
        route.fulfill(status=404, body="")
