"""The learning page: what closed cases say of how well we tell, and the same rows to take along."""
from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from analysis.catalogue import BENCH_TESTS
from intake.errors import Refused
from intake.search import FORK_KINDS
from reports import learnt
from reports.desk_sign_in import tuner
from reports.learnt_filter import Looked, choices, looked_from
from reports.models import Outcome
from reports.outcome_export import as_csv, as_json
from reports.phrases import quantity

UNREADABLE = 422
TEST_TITLES = {test.name: test.title for test in BENCH_TESTS}
SOLVED = dict(Outcome.Solved.choices)


def _looked(request: HttpRequest) -> tuple[Looked, Refused | None]:
    try:
        return looked_from(request.GET), None
    except Refused as refused:
        return Looked(), refused


@tuner
@require_GET
def learning(request: HttpRequest) -> HttpResponse:
    """Predicted against confirmed, tests, times and shares; every number with how many cases it rests on."""
    looked, refused = _looked(request)
    rows = looked.rows()
    return render(request, "reports/desk/learning.html", {
        "looked": looked, "query": urlencode(looked.as_query()), "refused": refused, **choices(), "n": rows.count(),
        "bands": learnt.in_words(learnt.bands(rows)), "proven": learnt.proven(rows).count(),
        "scores": _scores(learnt.scores(rows)), "tests": [_test(one) for one in learnt.tests_by_worth(rows)],
        "waiting": _waiting(learnt.waiting(rows)), "rounds": _rounds(learnt.rounds_to_solved(rows)),
        "solved": _shares(learnt.counted(rows, "solved"), SOLVED), "overrides": _overrides(learnt.overrides(rows)),
        "forwarded": _forwarded(learnt.forwarded(rows)), "numbers": [_off(one) for one in learnt.numbers_off(rows)],
        "harm": rows.filter(harm=True).count(), "enough": learnt.ENOUGH,
    }, status=UNREADABLE if refused else 200)


def _scores(found: Mapping[str, Any]) -> dict[str, str]:
    if not found["n"]:
        return {}
    return {"n": str(found["n"]), "said": f"{found['said']:.3f}", "base": f"{found['base']:.3f}",
            "better": "better than the base rates alone" if found["said"] < found["base"] else
            "no better than the base rates alone"}


def _test(one: Mapping[str, Any]) -> dict[str, str]:
    return {"title": TEST_TITLES.get(one["test"], one["test"]), "n": str(one["n"]), "bits": f"{one['each']:.2f}",
            "minutes": f"{one['takes']:g}", "misled": learnt.share(one["misled"], one["n"]),
            "each_minute": f"{one['whole'] / one['time']:.3f}" if one["time"] else "–"}


def _waiting(found: Mapping[str, Any]) -> dict[str, str]:
    return {"n": str(found["n"]), "median": learnt.hours(found["median"]), "most": learnt.hours(found["most"])}


def _rounds(found: Mapping[str, Any]) -> dict[str, Any]:
    return {"n": found["n"], "mean": f"{found['mean']:.1f}" if found["n"] else "–",
            "by_number": [(number, learnt.share(n, found["n"])) for number, n in found["by_number"]]}


def _shares(counts: list[tuple[Any, int]], titles: Mapping[Any, str]) -> list[tuple[str, str]]:
    whole = sum(n for _, n in counts)
    return [(str(titles.get(name, name) or "not said"), learnt.share(n, whole)) for name, n in counts]


def _overrides(found: Mapping[str, int]) -> dict[str, str]:
    return {"rate": learnt.share(found["others"], found["n"]), "proven": str(found["proven"]),
            "tuner": learnt.share(found["tuner"], found["proven"]),
            "engine": learnt.share(found["engine"], found["proven"])}


def _forwarded(found: Mapping[str, Any]) -> list[tuple[str, list[tuple[str, str]]]]:
    return [("By shop", _shares(found["shops"], {})), ("By fork", _shares(found["forks"], FORK_KINDS)),
            ("What it was", _shares(found["causes"], {}))]


def _off(one: Mapping[str, Any]) -> dict[str, str]:
    return {"title": one["title"], "n": str(one["n"]), "mean": quantity(one["mean"], one["unit"], 1),
            "size": quantity(one["size"], one["unit"], 1)}


@tuner
@require_GET
def reliability_figure(request: HttpRequest) -> HttpResponse:
    """The reliability picture of what is looked at."""
    from reports.plot_reliability import reliability_svg  # here: the plotting library takes a second to load

    looked, _ = _looked(request)
    return HttpResponse(reliability_svg(learnt.bands(looked.rows())), content_type="image/svg+xml")


def _file(request: HttpRequest, write: Callable[..., Any], kind: str, name: str) -> HttpResponseBase:
    looked, refused = _looked(request)
    if refused:
        return HttpResponse(f"{refused.problem} {refused.mend}", status=UNREADABLE, content_type="text/plain")
    return StreamingHttpResponse(write(looked.rows()), content_type=kind,
                                 headers={"Content-Disposition": f'attachment; filename="{name}"'})


@tuner
@require_GET
def outcomes_csv(request: HttpRequest) -> HttpResponseBase:
    """Every outcome with its prediction as a table; nothing of a person."""
    return _file(request, as_csv, "text/csv; charset=utf-8", "outcomes.csv")


@tuner
@require_GET
def outcomes_json(request: HttpRequest) -> HttpResponseBase:
    """The same as JSON."""
    return _file(request, as_json, "application/json", "outcomes.json")
