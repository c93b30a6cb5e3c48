"""What the closed cases say of us: counts and means, reckoned in the database over one row for each case."""
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import Avg, Case, Count, FloatField, IntegerField, Min, Q, QuerySet, Sum, Value, When
from django.db.models.functions import Cast

from intake.services import TEACHES, outcomes
from reports.models import Outcome, WorthOfTest
from reports.outcome_numbers import NUMBERS

ENOUGH = 10
"""Fewer cases than this make no percentage."""
BANDS = ((0.0, 0.2), (0.2, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 0.95), (0.95, 1.01))
"""Bands of what was said of the leading cause."""
SHOWN = 12
MOST_NUMBERS = 5000
"""The newest outcomes whose measured numbers are looked at."""


@dataclass(frozen=True)
class Band:
    """Cases that were told about the same: how many, what was said on the average, and how many were so."""

    low: float
    high: float
    n: int
    said: float | None
    right: int

    @property
    def share(self) -> float | None:
        """The share that was so; None where there is no case."""
        return self.right / self.n if self.n else None


def share(part: int, whole: int) -> str:
    """Return '7 of 12, 58 %'; without the percentage under ``ENOUGH``."""
    return f"{part} of {whole}" + (f", {100 * part / whole:.0f}\N{NO-BREAK SPACE}%" if whole >= ENOUGH else "")


def proven(rows: QuerySet[Outcome]) -> QuerySet[Outcome]:
    """Return the outcomes by which a prediction can be judged: seen, measured again, or disproved."""
    return rows.filter(Q(grade__lte=TEACHES) | Q(proof="disproved"), lead_right__isnull=False)


def bands(rows: QuerySet[Outcome]) -> list[Band]:
    """Return what was said of the leading cause against what it was, band by band: one query."""
    inside = [When(lead_odds__gte=low, lead_odds__lt=high, then=Value(place))
              for place, (low, high) in enumerate(BANDS)]
    found = {row["band"]: row for row in proven(rows).annotate(
        band=Case(*inside, default=Value(-1), output_field=IntegerField())).values("band").order_by("band").annotate(
        n=Count("id"), said=Avg("lead_odds"), right=Count("id", filter=Q(lead_right=True)))}
    return [Band(low, min(high, 1.0), *(found[place][name] for name in ("n", "said", "right")))
            if place in found else Band(low, min(high, 1.0), 0, None, 0) for place, (low, high) in enumerate(BANDS)]


def scores(rows: QuerySet[Outcome]) -> dict[str, Any]:
    """Return the mean Brier score of what was said and of the base rates alone, and over how many cases."""
    return rows.filter(grade__lte=TEACHES, brier__isnull=False).aggregate(
        n=Count("id"), said=Avg("brier"), base=Avg("brier_base"))


def tests_by_worth(rows: QuerySet[Outcome]) -> list[dict[str, Any]]:
    """Return the tests by the bits a minute that they gave to what it really was, over confirmed cases."""
    found = WorthOfTest.objects.filter(outcome__in=rows.filter(grade__lte=TEACHES)).values("test").annotate(
        n=Count("id"), whole=Sum("bits"), time=Sum("minutes"), each=Avg("bits"), takes=Min("minutes"),
        misled=Count("id", filter=Q(bits__lt=0)))
    return sorted(found, key=lambda one: -(one["whole"] / one["time"] if one["time"] else 0.0))


def waiting(rows: QuerySet[Outcome]) -> dict[str, Any]:
    """Return median and nine-in-ten of the time to the first answer: two rows by their place, not all of them."""
    timed = rows.filter(first_answer__isnull=False).order_by("first_answer").values_list("first_answer", flat=True)
    n = timed.count()
    if not n:
        return {"n": 0, "median": None, "most": None}
    return {"n": n, "median": timed[(n - 1) // 2], "most": timed[-(-9 * n // 10) - 1]}


def counted(rows: QuerySet[Outcome], name: str) -> list[tuple[Any, int]]:
    """Return how many cases have each value of a column, the most first."""
    found = rows.values(name).annotate(n=Count("id")).order_by("-n", name)
    return [(row[name], row["n"]) for row in found[:SHOWN]]


def rounds_to_solved(rows: QuerySet[Outcome]) -> dict[str, Any]:
    """Return how many rounds the solved cases took."""
    solved = rows.exclude(solved=Outcome.Solved.NEVER_HEARD)
    mean = solved.aggregate(mean=Avg(Cast("rounds", FloatField())))["mean"]
    return {"n": solved.count(), "mean": mean, "by_number": sorted(counted(solved, "rounds"))}


def overrides(rows: QuerySet[Outcome]) -> dict[str, int]:
    """Return how often a tuner put another cause in the engine's place, and who was right where that was proven."""
    judged = ~Q(judged="")
    sure = judged & (Q(grade__lte=TEACHES) | Q(proof="disproved"))
    return rows.filter(draft__isnull=False).aggregate(
        n=Count("id"), others=Count("id", filter=judged), proven=Count("id", filter=sure),
        tuner=Count("id", filter=sure & Q(judged_right=True)), engine=Count("id", filter=sure & Q(lead_right=True)))


def forwarded(rows: QuerySet[Outcome]) -> dict[str, list[tuple[str, int]]]:
    """Return what shops forward: which shop, which fork, what it was."""
    theirs, titles = rows.filter(shop__isnull=False), outcomes()
    return {"shops": counted(theirs, "shop__name"), "forks": counted(theirs, "fork_kind"),
            "causes": [(titles.get(name, name), n) for name, n in counted(theirs, "cause")]}


def numbers_off(rows: QuerySet[Outcome]) -> list[dict[str, Any]]:
    """Return how far measured numbers lay from the foretold ones: mean and mean size of the difference."""
    both = rows.exclude(measured={}).order_by("-id").values_list("measured", "predicted")[:MOST_NUMBERS]
    pairs = list(both)
    found = []
    for one in NUMBERS:
        off = [measured[one.name] - said[one.name] for measured, said in pairs
               if one.name in measured and one.name in said]
        if off:
            found.append({"title": one.title, "unit": one.unit, "n": len(off), "mean": sum(off) / len(off),
                          "size": sum(map(abs, off)) / len(off)})
    return found


def hours(span: timedelta | None) -> str:
    """Return a time in the one unit that matters."""
    if span is None:
        return "–"
    minutes = int(span.total_seconds() // 60)
    if minutes < 90:
        return f"{minutes} min"
    return f"{minutes / 60:.1f} h" if minutes < 2880 else f"{minutes / 1440:.1f} days"


def in_words(found: Iterable[Band]) -> list[dict[str, str]]:
    """Return the table beside the reliability picture."""
    return [{"band": f"{100 * band.low:.0f} to {100 * band.high:.0f}\N{NO-BREAK SPACE}%", "n": str(band.n),
             "said": f"{100 * band.said:.0f}\N{NO-BREAK SPACE}%" if band.said is not None else "–",
             "right": share(band.right, band.n) if band.n else "–"} for band in found]
