"""What every page of one case shows: the case, its open round, the way through it, and any stop sign."""
from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from django.core.cache import cache
from django.http import HttpRequest

from analysis import ENGINE_VERSION
from analysis.document import Case as ReadCase
from analysis.document import Fault, doubts_of
from analysis.gates import Gate
from analysis.unsafe_tests import unsafe_tests
from analysis.worth import Worth, tests_worth_doing
from intake.access import case_for
from intake.asking import Ask, asks_of
from intake.danger_words import spoken_of
from intake.form import fields_of
from intake.models import Case, Round
from intake.reading import faults_before_handing_in, readable_case, stop_signs, workshop_only
from intake.states import ENDED, OPEN_FOR_ANSWERS
from intake.stations import Station
from intake.way import Way, way_through

KEPT = 24 * 3600
"""Seconds that a ranking of the tests is kept: a new one is made as soon as an answer changes."""


@dataclass
class Sheet:
    """One case as its rider sees it.  ``document`` is the round's own, or what was just typed and not kept."""

    case: Case
    round: Round
    document: dict[str, Any]

    @cached_property
    def read(self) -> ReadCase | None:
        """What the engine can read of it so far."""
        return readable_case(self.document)

    @cached_property
    def stops(self) -> tuple[Gate, ...]:
        """Why the bike is not to be ridden."""
        return stop_signs(self.read)

    @cached_property
    def faults(self) -> tuple[Fault, ...]:
        """What stops the hand-in."""
        return faults_before_handing_in(self.document)

    @cached_property
    def way(self) -> Way:
        """All pages with their answers; a complaint that is still empty is no fault until the hand-in is near."""
        typed = tuple(fault for fault in self.faults if not self._is_gap(fault))
        sealed = workshop_only(self.read)
        way = way_through(self.case.number, self.document, typed, bool(self.stops), sealed)
        if self.asks and self.is_open:
            way = replace(way, asked=self._still_asked(way),
                          only_asked=self._saved or all(ask.place for ask in self.asks))
        if not (self.is_open and way.is_first_done and way.is_safe_to_test):
            return way
        return replace(way, ranked=self._ranked(unsafe_tests(self.read) if self.read else ()))

    @property
    def is_open(self) -> bool:
        """Whether answers can be given."""
        return self.case.state in OPEN_FOR_ANSWERS and self.round.handed_in_at is None

    @property
    def warns(self) -> bool:
        """Whether the case's own page puts the stop sign on top; 'workshop only' says it in its own words."""
        return bool(self.stops) and self.case.state not in (*ENDED, Case.State.WORKSHOP_ONLY)

    @property
    def fault_places(self) -> list[dict[str, Any]]:
        """What stops the hand-in, each with the page and field it is at."""
        return [{"fault": fault, **self._place_of(fault.path)} for fault in self.faults]

    @property
    def doubt_places(self) -> list[dict[str, Any]]:
        """What is asked back, each with the page and field it is about."""
        return [{"words": doubt.question, **self._place_of(doubt.path)} for doubt in doubts_of(self.document)]

    @cached_property
    def heard(self) -> list[dict[str, Any]]:
        """Dangers that the rider's own words speak of, each with the question that they did not say yes to."""
        if not self.is_open:
            return []
        return [{"words": one.words, "denied": one.denied, **self._place_of(one.path)} for one in spoken_of(self.round)]

    @property
    def heard_unanswered(self) -> list[dict[str, Any]]:
        """Those whose question has no answer yet."""
        return [one for one in self.heard if not one["denied"]]

    @property
    def asked_at(self) -> Station | None:
        """The page that the tuner's question is about."""
        return self._page(self.way, self.case.question_path)

    @cached_property
    def asks(self) -> tuple[Ask, ...]:
        """What the tuner asked for; nothing once it is handed in."""
        if self.case.state != Case.State.NEEDS_ANSWER:
            return ()
        return asks_of(self.case.asked.get("asks"))

    @property
    def asked_steps(self) -> list[dict[str, Any]]:
        """What the tuner asked for, each in words with the page it is about."""
        return [{"words": ask.said(), "station": self._page(self.way, ask.place)} for ask in self.asks]

    def _still_asked(self, way: Way) -> list[str]:
        """Return the pages that are still to be done: a test until it has an answer, any other until one is saved."""
        pages = {ask.place: self._page(way, ask.place) for ask in self.asks}
        return [name for name, page in pages.items() if page is not None
                and (page.is_bench and not page.begun or not self._saved)]

    @property
    def _saved(self) -> bool:
        """Whether anything was saved since the tuner asked."""
        return self.round.revision != self.case.asked.get("revision")

    @staticmethod
    def _page(way: Way, name: str) -> Station | None:
        return (way.named(name, bench=False) or way.named(name, bench=True)) if name else None

    def _ranked(self, barred: tuple[str, ...]) -> tuple[Worth, ...] | None:
        """Return the tests that are worth doing; worked out once for each set of answers."""
        if self.read is None:
            return None
        if self.document is not self.round.document:  # typed and not kept
            return self._rank(self.read, barred)
        key = f"worth:{ENGINE_VERSION}:{self.round.pk}:{self.round.revision}"
        found = cache.get(key)
        if found is None:
            found = self._rank(self.read, barred)
            cache.set(key, found, KEPT)
        return tuple(found)

    def _rank(self, case: ReadCase, barred: tuple[str, ...]) -> tuple[Worth, ...]:
        return tests_worth_doing(case, barred, np.random.default_rng(self.case.pk))

    def _place_of(self, path: str) -> dict[str, str]:
        for station in self.way.stations:
            for field in fields_of((*station.rows, *station.not_needed)):
                if field.path == path:
                    return {"title": field.title, "url": f"{station.url}#{field.id}"}
        return {"title": path, "url": ""}

    def _is_gap(self, fault: Fault) -> bool:
        return fault.path == "complaint.words" and self.read is not None and not self.read.answer(fault.path)


def sheet_for(request: HttpRequest, number: str) -> Sheet:
    """Return the rider's case by number, or raise ``Http404``."""
    case = case_for(number=number, session=request.session)
    newest = case.current_round
    return Sheet(case, newest, newest.document)
