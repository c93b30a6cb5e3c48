"""Reads what the queue's page shows, for the tests of the queue."""
from __future__ import annotations

import html
import re
from typing import Any

from django.utils import timezone

from intake.queue import queue_page
from intake.wanted import Wanted
from reports.desk_queue import Row, rows


def titles(page: Any) -> list[str]:
    """Return the titles of the rows, in their order."""
    return [html.unescape(title) for title in re.findall(r"data-open>(.*?)</a>", page.content.decode())]


def stuck(page: Any) -> list[tuple[str, str]]:
    """Return the cases whose mail is stuck: the number and the words."""
    named = re.search(r'id="stuck".*?</section>', page.content.decode(), re.DOTALL)
    lines = re.findall(r">([^<]+)</a>[^<]*: ([^<:]+)</li>", named[0]) if named else []
    return [(number, html.unescape(words)) for number, words in lines]


def links(page: Any, label: str) -> list[str]:
    """Return the addresses' queries of the links in a list or bar of this name."""
    found = re.search(rf'aria-label="{label}".*?</(?:ul|nav)>', page.content.decode(), re.DOTALL)
    return [html.unescape(query) for query in re.findall(r'href="[^"?]*\??([^"]*)"', found[0])] if found else []


def further_down(page: Any) -> str:
    """Return the address of the next page."""
    return html.unescape(re.search(r'href="(\?[^"]*)" rel="next"', page.content.decode())[1])


def seen_by(user: Any, **wanted: str) -> list[Row]:
    """Return the rows as this tuner sees them."""
    return rows(queue_page(Wanted(**wanted), user=user).cases, timezone.now(), user)
