"""The way through the form: sections and bench tests, how far each is, which comes next, which must wait."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from analysis.catalogue import BENCH_TESTS, SECTIONS, BenchTest, Section
from analysis.document import Fault, doubts_of
from intake.form import Row, fields_of, rows
from intake.paths import at_path, is_blank

NEEDS = {
    "helper": "someone to help", "stand": "a stand that lifts the front", "rear stand": "a stand that lifts the rear",
    "tape": "a tape or ruler",
    "caps": "some practice with fork caps", "ride": "a ride on a quiet road",
}
SKILLED = frozenset({"caps", "ride", "stand", "rear stand"})
"""Not offered until the rider has said that they can."""


@dataclass(frozen=True)
class Station:
    """One page of the form: a section or a bench test."""

    place: Section | BenchTest
    url: str
    rows: tuple[Row, ...]
    lacks: tuple[str, ...] = ()
    """What the rider does not have or did not say they have."""
    closed: str = ""
    """Why the test is not to be done at all; '' where it may be done."""

    @property
    def is_bench(self) -> bool:
        """Tell whether it is a bench test."""
        return isinstance(self.place, BenchTest)

    @property
    def total(self) -> int:
        """Return how many answers there can be; the reason for leaving a test out is none of them."""
        return sum(1 for field in fields_of(self.rows) if not field.path.endswith(".not_done"))

    @property
    def answered(self) -> int:
        """Return how many answers there are; 'I do not know' is one."""
        return sum(1 for field in fields_of(self.rows)
                   if not field.path.endswith(".not_done") and not is_blank(field.raw))

    @property
    def share(self) -> int:
        """Return how far it is, in percent."""
        return 100 if self.left_out else round(100 * self.answered / max(self.total, 1))

    @property
    def left_out(self) -> str:
        """Return why the rider could not do it; '' where they did not say so."""
        return "; ".join(field.said for field in fields_of(self.rows)
                         if field.path.endswith(".not_done") and field.said)

    @property
    def begun(self) -> bool:
        """Tell whether anything was answered here."""
        return self.answered > 0 or bool(self.left_out)

    @property
    def faults(self) -> tuple[tuple[Any, Fault], ...]:
        """Return what is wrong here, with the field it is wrong at."""
        return tuple((field, fault) for field in fields_of(self.rows) for fault in field.faults)

    @property
    def doubts(self) -> tuple[tuple[Any, str], ...]:
        """Return what is asked back here, with the field it is about."""
        return tuple((field, words) for field in fields_of(self.rows) for words in field.doubts)


@dataclass(frozen=True)
class Way:
    """All stations of one round.  ``wanted`` is the title of the test that would tell most, where it is known."""

    stations: tuple[Station, ...]
    wanted: str = ""

    @property
    def sections(self) -> list[Station]:
        """Return the pages of questions."""
        return [station for station in self.stations if not station.is_bench]

    @property
    def offered(self) -> list[Station]:
        """Return the bench tests that this rider can do, and those already begun.

        The wanted one comes first until it is begun; those that open the fork come last: a spring or the oil is only
        looked at once nothing cheaper is left.
        """
        found = [station for station in self.stations
                 if station.is_bench and not station.closed and (station.begun or not station.lacks)]
        return sorted(found, key=lambda station: (not self.is_wanted(station), "caps" in station.place.needs))

    def is_wanted(self, station: Station) -> bool:
        """Tell whether it is the test that would tell most, and still to be done."""
        return station.is_bench and not station.begun and station.place.title == self.wanted

    @property
    def waiting(self) -> list[Station]:
        """Return the bench tests that need something the rider has not got, or must not be done."""
        offered = self.offered
        return [station for station in self.stations if station.is_bench and station not in offered]

    @property
    def next(self) -> Station | None:
        """Return what comes next: a page with a fault first, then the first one not begun."""
        way = [*self.sections, *self.offered]
        faulty = [station for station in way if station.faults]
        return next(iter([*faulty, *(station for station in way if not station.begun)]), None)

    @property
    def begun(self) -> bool:
        """Tell whether anything was answered anywhere."""
        return any(station.begun for station in self.stations)

    @property
    def missing(self) -> list[Station]:
        """Return the pages of questions where nothing is answered yet."""
        return [station for station in self.sections if not station.begun]

    def after(self, name: str) -> Station | None:
        """Return the station that follows the named one."""
        way = [*self.sections, *self.offered]
        names = [station.place.name for station in way]
        if name not in names:
            return self.next
        return next(iter(way[names.index(name) + 1:]), None)

    def named(self, name: str, bench: bool) -> Station | None:
        """Return the station by its name; None where there is none."""
        return next((station for station in self.stations
                     if station.place.name == name and station.is_bench == bench), None)


def way_through(
    number: str, document: Mapping[str, Any], faults: Sequence[Fault] = (), stopped: bool = False,
    sealed: Sequence[str] = (), wanted: str = "",
) -> Way:
    """Return the stations of a case's document, each with its answers, faults and doubts.

    ``stopped``: a safety gate closes every bench test.  ``sealed``: why the fork is not opened at home.  ``wanted``:
    the test that the newest draft names as the next.
    """
    doubts = tuple((doubt.path, doubt.question) for doubt in doubts_of(document))
    found = []
    for place in (*SECTIONS, *BENCH_TESTS):
        bench = isinstance(place, BenchTest)
        found.append(Station(
            place, reverse("bench-test" if bench else "section", args=[number, place.name]),
            tuple(rows(place.questions, document, faults, doubts)),
            _lacks(place, document) if bench else (), _closed(place, sealed, stopped) if bench else ""))
    return Way(tuple(found), wanted)


def _lacks(test: BenchTest, document: Mapping[str, Any]) -> tuple[str, ...]:
    can = _value(document, "rider.can")
    has = set(can) if isinstance(can, list) else {need for need in test.needs if need not in SKILLED}
    return tuple(NEEDS.get(need, need) for need in test.needs if need not in has)


def _closed(test: BenchTest, sealed: Sequence[str], stopped: bool) -> str:
    if stopped:
        return "An answer says that the bike is not safe. Nothing is tested on it until a workshop has seen it."
    return " ".join(sealed) if "caps" in test.needs else ""


def _value(document: Mapping[str, Any], path: str) -> Any:
    raw = at_path(document, path)[1]
    return raw.get("value") if isinstance(raw, dict) else raw
