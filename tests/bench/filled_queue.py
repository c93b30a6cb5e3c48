"""A queue with very many cases, made in SQL in the time it takes to look the other way, and the bare view beside it."""
from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from django.contrib.auth.models import User
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import request_started
from django.db import close_old_connections, connection
from django.http import HttpRequest, HttpResponse
from django.template import Context, Engine
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext
from django.urls import path, reverse

from analysis import analyse, parse_case
from deploy.urls import urlpatterns as pages
from intake.lanes import STEP, Lane
from intake.models import Case
from intake.search import found
from reports.desk_frame import forget_drawn_frames
from reports.desk_queue import forget_drawn_rows
from reports.desk_sign_in import tuner
from reports.services.drafting import summary_of
from tests.intake.queued import queued

DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "01-wall-after-the-oil-change.json"
KINDS = ("tourer", "enduro", "scrambler", "cruiser", "racer", "trail", "moped", "outfit")
MOST_QUERIES = 6
"""On any page, with any filter and in any search."""
PAGE = 50
WARM, TIMES = 5, 60

BARE = Engine().from_string(
    "<!doctype html><title>Queue</title><ol>{% for case in cases %}<li>{{ case.number }} {{ case.title }} "
    "{{ case.summary.verdict }}</li>{% endfor %}</ol>")
SERIES = "WITH RECURSIVE series(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM series WHERE n < %s) "
LANE = (f"CASE WHEN n %% 1000 = 0 THEN {int(Lane.STOP)} WHEN n %% 5 = 0 THEN {int(Lane.OVERDUE)} "
        f"WHEN n %% 9 = 0 THEN {int(Lane.RETURNED)} ELSE {int(Lane.WAITING)} END")


def fill(count: int) -> None:
    """Have ``count`` cases wait for us, all alike but for what the queue orders, narrows and finds by."""
    document = json.loads(DEMO.read_text())
    summary = summary_of(analyse(parse_case(document), np.random.default_rng(1)).as_document())
    one = queued(title="The first of many", summary=summary, since=datetime.now(UTC) - timedelta(hours=1))
    start = one.rank % STEP
    _copies(count, Case, one.pk, {
        "number": "'FB-' || printf('%%06X', n)", "rank": f"({LANE}) * {STEP} + {start} + n",
        "stop": "n %% 1000 = 0", "returned": "CASE WHEN n %% 9 = 0 THEN 'answer' ELSE '' END",
        "language": "CASE WHEN n %% 10 = 0 THEN 'es' WHEN n %% 4 = 0 THEN 'de' ELSE 'en' END",
        "fork_kind": "CASE WHEN n %% 5 = 0 THEN 'air' ELSE '' END", "title": "'Bike ' || n",
        "summary": "json_set(summary, '$.marks.stroke_mm', 140.0 + n %% 997 / 1000.0)",
    })
    # Every case has some words that all have, one of eight, and one of its own.
    kinds = " ".join(f"WHEN {n} THEN '{kind}'" for n, kind in enumerate(KINDS))
    _copies(count, Case.words.related.related_model, one.pk, {
        "words": f"'fb bike suspension dives hard under braking fork ' || CASE n %% {len(KINDS)} {kinds} END "
                 "|| ' ' || lower(printf('%%06X', n))"})
    _copies(count, Case.rounds.rel.related_model, one.current_round.pk, {"document": "'{}'"})
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def _copies(count: int, model: Any, pk: int, made: dict[str, str]) -> None:
    """Copy one row ``count`` times; ``made`` says what differs, ``n`` is the copy's number."""
    columns = [field.column for field in model._meta.concrete_fields]
    own = made | {"id": f"{pk} + n", "case_id": f"{one_pk(model, pk)} + n"}
    values = ", ".join(own.get(column, f'"{column}"') for column in columns)
    names = ", ".join(f'"{column}"' for column in columns)
    key = model._meta.pk.column
    with connection.cursor() as cursor:
        cursor.execute(f'INSERT INTO {model._meta.db_table} ({names}) {SERIES} SELECT {values} '
                       f'FROM series, {model._meta.db_table} AS first WHERE first."{key}" = {pk}', [count])


def one_pk(model: Any, pk: int) -> int:
    """Return the first case's key, given the key of the first row of ``model``."""
    return model.objects.values_list("case_id" if model is not Case else "pk", flat=True).get(pk=pk)


@tuner
def bare(request: HttpRequest) -> HttpResponse:
    """The floor: the same door, the same indexed query, and the plainest page of what it found."""
    rows = Case.objects.select_related("shop", "holder")
    if "q" in request.GET:
        rows = rows.filter(pk__in=found(request.GET["q"], most=PAGE + 1)).order_by("-id")
    else:
        keys = {key: value for key, value in request.GET.items() if key in ("language", "fork_kind")}
        rows = rows.filter(rank__gte=int(request.GET.get("rank", 0)), rank__lt=4 * STEP, **keys).order_by("rank", "id")
    return HttpResponse(BARE.render(Context({"cases": rows[: PAGE + 1]})))


urlpatterns = [path("bare/", bare, name="bare"), *pages]


class Browser:
    """Asks through the whole stack as a server does; the test client would copy each template's context on the way."""

    def __init__(self) -> None:
        client = Client()
        client.force_login(User.objects.create_user("bench", is_staff=True),
                           backend="reports.sign_in_backend.SignInBackend")
        self.environ = RequestFactory(HTTP_COOKIE=f"sessionid={client.cookies['sessionid'].value}")
        self.handler = WSGIHandler()

    def get(self, address: str, query: dict[str, Any]) -> str:
        """Return the page; it must be one."""
        said: list[str] = []
        request = self.environ.get(address, query)
        request_started.disconnect(close_old_connections)  # it would close the test's own transaction
        try:
            answer = self.handler(request.environ, lambda status, headers: said.append(status))
            body = b"".join(answer).decode()
        finally:
            request_started.connect(close_old_connections)
        assert said == ["200 OK"], f"{address} {query}: {said}"
        return body


def measured(count: int, report: Callable[[str, float, float, str], None]) -> dict[str, float]:
    """Measure each look at the queue against the floor; return what 95 of 100 take, in seconds."""
    browser = Browser()
    deep = Case.objects.filter(rank__lt=4 * STEP).order_by("rank", "id")[count * 9 // 10]
    looks: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
        "first page": ({}, {}),
        "page deep down": ({"after": f"{deep.rank}_{deep.pk}"}, {"rank": deep.rank}),
        "filter": ({"language": "es"}, {"language": "es"}),
        "two filters": ({"language": "es", "fork": "air"}, {"language": "es", "fork_kind": "air"}),
        "search, words that all have": ({"q": "suspension dives"},) * 2,
        "search, a rare word": ({"q": f"{count // 2:06x}"},) * 2,
        "search, a beginning": ({"q": "fork scra"},) * 2,
    }
    taken = {}
    for name, (query, plain) in looks.items():
        with CaptureQueriesContext(connection) as queries:
            assert "data-row" in browser.get(reverse("queue"), query), name
        report(f"{count:,} cases, {name}, queries", len(queries), MOST_QUERIES,
               "queries")
        page, floor = _in_turns(partial(browser.get, reverse("queue"), query), partial(browser.get, "/bare/", plain))
        taken[name] = page
        report(f"{count:,} cases, {name}, {1000 * page:.1f} ms, as times its floor", page / floor, 1.5, "x")
    cold = _cold(browser)
    report(f"{count:,} cases, first page, nothing drawn before, {1000 * cold:.1f} ms", cold, 0.1, "s")
    return taken


def _cold(browser: Browser) -> float:
    """Return what the middle one of several pages takes of which nothing has been looked at yet."""
    taken = []
    for _turn in range(10):
        forget_drawn_rows()
        forget_drawn_frames()
        start = time.process_time()
        browser.get(reverse("queue"), {})
        taken.append(time.process_time() - start)
    return statistics.median(taken)


def _in_turns(one: Callable[[], Any], other: Callable[[], Any]) -> tuple[float, float]:
    """Return what 95 of 100 calls of each take, called by turns so that both meet the same machine.

    The process's own time, with SQLite's in it, since what else runs on the machine says nothing about the page.
    """
    seconds: tuple[list[float], list[float]] = ([], [])
    for turn in range(WARM + TIMES):
        for call, kept in zip((one, other), seconds, strict=True):
            start = time.process_time()
            call()
            if turn >= WARM:
                kept.append(time.process_time() - start)
    return tuple(statistics.quantiles(each, n=20)[-1] for each in seconds)  # type: ignore[return-value]
