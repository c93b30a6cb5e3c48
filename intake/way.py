"""The way through a case: eight first questions, then detail, then the tests that are worth their minutes.

There is always one thing that comes next, and a reason for it.
"""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from analysis.catalogue.first import WANTED
from analysis.document import Fault
from analysis.worth import Worth
from intake.branching import leads
from intake.form import fields_of
from intake.paths import at_path, is_blank
from intake.stations import FirstAnswer, Station, first_answers, stations_of
from intake.words import translated

BEFORE_TESTS = ("service", "fork")
"""Pages that are asked for before a bench test is."""
AFTER_TESTS = ("legs", "springs", "settings")
"""Pages that help, once no test is left: few riders know these numbers."""


@dataclass(frozen=True)
class Next:
    """The one thing to do next, and why."""

    title: str
    url: str
    reason: str
    station: Station | None = None

    @property
    def is_test(self) -> bool:
        """Tell whether it is a bench test."""
        return self.station is not None and self.station.is_bench


@dataclass(frozen=True)
class Missing:
    """Something that every judgement leans on and that is not there yet."""

    title: str
    url: str


@dataclass(frozen=True)
class Way:
    """All pages of one round.  ``ranked``: the tests that the engine finds worth doing, None where it is too early."""

    number: str
    document: Mapping[str, Any]
    first: Station
    stations: tuple[Station, ...]
    stopped: bool = False
    ranked: Sequence[Worth] | None = None
    asked: Sequence[str] = ()
    """Pages that the tuner asked for and that are still to be done, in their order."""
    only_asked: bool = False
    """Whether the tuner asked for something, and nothing else is offered once that is done."""

    @cached_property
    def sections(self) -> list[Station]:
        """Return the pages of questions."""
        return [station for station in self.stations if not station.is_bench]

    @cached_property
    def first_answers(self) -> tuple[FirstAnswer, ...]:
        """Return the eight first questions with their answers."""
        return first_answers(self.first)

    @property
    def first_done(self) -> int:
        """Return how many of the first questions are answered."""
        return sum(answer.answered for answer in self.first_answers)

    @property
    def is_first_done(self) -> bool:
        """Tell whether all first questions are answered."""
        return all(answer.answered for answer in self.first_answers)

    @property
    def is_safe_to_test(self) -> bool:
        """Tell whether the signs that mean "do not ride" were looked for, and none was found."""
        return not self.stopped and all(answer.answered for answer in self.first_answers if answer.step.checklist)

    @cached_property
    def offered(self) -> list[Station]:
        """Return the bench tests that this rider can do and that may tell something, and those already begun.

        The one that would tell most for its minutes comes first.  Those that open the fork come last: a spring or the
        oil is only looked at once nothing cheaper is left.
        """
        found = [station for station in self.stations if station.is_bench and not station.closed
                 and (station.begun or not (station.lacks or station.no_more))]
        return sorted(found, key=self._order)

    @property
    def open_tests(self) -> list[Station]:
        """Return the offered tests that are still to be done and are worth it, the best first."""
        return [station for station in self.offered if not station.begun and self._is_worth_it(station)]

    @property
    def front_tests(self) -> list[Station]:
        """Return the open tests of the front that are not next."""
        return [station for station in self._not_next if not station.is_rear]

    @property
    def rear_tests(self) -> list[Station]:
        """Return the open tests of the rear that are not next."""
        return [station for station in self._not_next if station.is_rear]

    @property
    def done_tests(self) -> list[Station]:
        """Return the tests that were done or left out with a reason."""
        return [station for station in self.stations if station.is_bench and station.begun]

    @property
    def idle_tests(self) -> list[Station]:
        """Return the tests that could be done and would tell little or nothing now."""
        return [station for station in self.stations if station.is_bench and not station.begun and not station.closed
                and not station.lacks and (station.no_more or not self._is_worth_it(station))]

    @property
    def waiting(self) -> list[Station]:
        """Return the bench tests that need something the rider has not got, or must not be done."""
        return [station for station in self.stations if station.is_bench and not station.begun
                and (station.closed or station.lacks)]

    @cached_property
    def next(self) -> Next:
        """Return the one thing that comes next."""
        return next(found for found in (
            self._faulty(), self._stop(), self._asked(), self._first(), self._lead(), self._section(BEFORE_TESTS),
            self._test(), self._section(AFTER_TESTS), self._hand_in()) if found is not None)

    @property
    def missing(self) -> list[Station]:
        """Return the pages of questions where nothing is answered yet."""
        return [station for station in self.sections if not station.begun and station.rows]

    @property
    def wanted(self) -> list[Missing]:
        """Return what every judgement leans on and is missing; not what this rider cannot find out."""
        found = []
        for want in WANTED:
            station = next((each for each in self.stations if each.place.name == want.place), None)
            if station is None or not self._is_open_to_rider(station):
                continue
            asked = {field.path for field in fields_of(station.rows)}
            if asked & set(want.paths) and not any(self._has(path) for path in want.paths):
                found.append(Missing(translated(want.title), station.url))
        return found

    @property
    def more_wanted(self) -> int:
        """Return how many of them are left after the two that a page names."""
        return max(len(self.wanted) - 2, 0)

    @property
    def begun(self) -> bool:
        """Tell whether anything was answered anywhere."""
        return any(station.begun for station in self.stations)

    def after(self, name: str) -> str:
        """Return where to go from the named page: the next thing, or while the first questions are open the next page.

        "" where nothing follows.
        """
        here = self.named(name, bench=False) or self.named(name, bench=True)
        if here is None or here is self.first or (self.is_first_done and self.next.url != here.url):
            return self.next.url if here is None or self.next.url != here.url else ""
        way = [station for station in (*self.sections, *self.open_tests) if station.url == here.url or station.rows]
        places = [station.url for station in way]
        following = places[places.index(here.url) + 1:] if here.url in places else []
        return next(iter(following), "")

    def named(self, name: str, bench: bool) -> Station | None:
        """Return the page by its name; None where there is none."""
        return next((station for station in (self.first, *self.stations)
                     if station.place.name == name and station.is_bench == bench), None)

    def why(self, station: Station) -> str:
        """Return what a test would tell best, as the engine sees it so far; its purpose where it cannot say."""
        worth = next((each for each in self.ranked or () if each.name == station.place.name), None)
        return translated(worth.reason) if worth is not None and worth.reason else translated(station.place.purpose)

    def _is_open_to_rider(self, station: Station) -> bool:
        return not (station.closed or station.lacks or station.no_more or station.left_out
                    or station.is_bench and not self.is_safe_to_test)

    def _has(self, path: str) -> bool:
        there, raw = at_path(self.document, path)
        return there and not is_blank(raw)

    @property
    def _not_next(self) -> list[Station]:
        return [station for station in self.open_tests if self.next.station is not station]

    def _is_worth_it(self, station: Station) -> bool:
        return self.ranked is None or any(worth.name == station.place.name for worth in self.ranked)

    def _order(self, station: Station) -> tuple[bool, int]:
        names = [worth.name for worth in self.ranked or ()]
        place = names.index(station.place.name) if station.place.name in names and not station.begun else len(names)
        return "caps" in station.place.needs, place

    def _to(self, station: Station, reason: str) -> Next:
        return Next(translated(station.place.title), station.url, reason, station)

    def _faulty(self) -> Next | None:
        found = next((station for station in self.stations if station.faults), None)
        return self._to(found, _("Something there has to be looked at again.")) if found else None

    def _stop(self) -> Next | None:
        return self._check(_("A workshop has to see the bike. Hand the case in: a tuner sees it first of all.")) \
            if self.stopped and self._has("complaint.words") else None

    def _asked(self) -> Next | None:
        """What the tuner asked for comes before anything else that would help; when it is done, only the hand-in."""
        for name in self.asked:
            station = self.named(name, bench=False) or self.named(name, bench=True)
            if station is not None and not station.closed and not (station.is_bench and self.stopped):
                return self._to(station, _("Your tuner asks for this."))
        return self._check(_("That is what your tuner asked for. Hand in again.")) if self.only_asked else None

    def _first(self) -> Next | None:
        left = [answer for answer in self.first_answers if not answer.answered]
        if len(left) == 1:
            return Next(translated(left[0].step.title), f"{self.first.url}#first-{left[0].step.name}",
                        _("The one question of the first eight that is still open."), self.first)
        return self._to(
            self.first, _("They show whether the bike is safe, what matters, and what can be left out. 3 minutes."),
        ) if left else None

    def _lead(self) -> Next | None:
        for lead in leads(self.document):
            station = self.named(lead.place, bench=False) or self.named(lead.place, bench=True)
            if station is None or (station.begun if station.is_bench else _begun_beyond(station, self.first)):
                continue
            if not station.is_bench or (self.is_safe_to_test and station in self.offered):
                return self._to(station, translated(lead.reason))
        return None

    def _section(self, names: Sequence[str]) -> Next | None:
        for name in names:
            station = self.named(name, bench=False)
            if station is not None and station.rows and not _begun_beyond(station, self.first):
                return self._to(station, translated(station.place.lead))
        return None

    def _test(self) -> Next | None:
        best = next(iter(self.open_tests), None)
        if best is None:
            return None
        reason = _("%(reason)s About %(minutes)d minutes.") % {
            "reason": self.why(best), "minutes": best.place.minutes}
        return self._to(best, reason)

    def _hand_in(self) -> Next:
        if self.waiting and not self.done_tests:
            return self._check(_("With what you have at hand no test can be done safely. Hand in: a tuner tells you "
                                 "what a workshop should look at."))
        return self._check(_("What is needed is here. More answers make the letter a little surer."))

    def _check(self, reason: str) -> Next:
        return Next(_("Check and hand in"), reverse("check", args=[self.number]), reason)


def _begun_beyond(station: Station, first: Station) -> bool:
    """Tell whether anything was answered on a page that is not already one of the first questions."""
    asked_first = {field.path for field in fields_of(first.rows)}
    beyond = [field for field in fields_of(station.rows) if field.path not in asked_first]
    return not beyond or any(not is_blank(field.raw) for field in beyond)


def way_through(
    number: str, document: Mapping[str, Any], faults: Sequence[Fault] = (), stopped: bool = False,
    sealed: Sequence[str] = (), ranked: Sequence[Worth] | None = None,
) -> Way:
    """Return the way through a case's document.

    ``stopped``: a safety gate closes every bench test.  ``sealed``: why the fork is not opened at home.  ``ranked``:
    the tests that are worth their minutes, the best first.
    """
    first, *rest = stations_of(number, document, faults, stopped, sealed)
    return Way(number, document, first, tuple(rest), stopped, ranked)
