"""What a shop is asked when it forwards a job: catalogue questions in the order of a job card."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from analysis.catalogue import BENCH_TESTS, QUESTIONS, SECTIONS, Question
from analysis.document import Fault, doubts_of
from intake.form import Row, fields_of, rows, rows_not_needed
from intake.paths import is_blank, put
from intake.posted import read_posted

HAS = ["helper", "stand", "rear stand", "tape", "caps", "workshop"]
"""What every workshop has, so that all tests but a ride are thought of."""
BLANK: dict[str, Any] = {"schema": 1, "rider": {"can": HAS}}
_BY_PATH = {question.path: question for question in QUESTIONS.values()}


@dataclass(frozen=True)
class Part:
    """Some questions under one heading; ``folded`` ones are not needed for a first answer."""

    title: str
    lead: str
    questions: tuple[Question, ...]
    folded: bool = False
    checklist: bool = False


@dataclass(frozen=True)
class Shown:
    """A part with what was typed and what is wrong with it."""

    part: Part
    rows: tuple[Row, ...]

    @property
    def open(self) -> bool:
        """Tell whether it must not be folded: something in it is typed or wrong."""
        return not self.part.folded or any(
            not is_blank(field.raw) or field.faults for field in fields_of(self.rows))

    @property
    def all_no(self) -> bool:
        """Tell whether every line of a checklist was looked at and is not so."""
        return all(field.picked in (("no",), ("yes",)) for field in fields_of(self.rows))


def _part(title: str, lead: str, *paths: str, **more: bool) -> Part:
    return Part(title, lead, tuple(_BY_PATH[path] for path in paths), **more)


_SAFETY = next(section for section in SECTIONS if section.name == "safety")

JOB_CARD: tuple[Part, ...] = (
    _part("The complaint", "In the customer's words, and what you saw yourself.",
          "complaint.words", "complaint.symptoms", "complaint.since"),
    Part("Safe to ride?", "Tick what is so, then the last line.", _SAFETY.questions, checklist=True),
    _part("The bike", "", "bike.description", "bike.kind", "bike.mass_kg", "rider.mass_kg"),
    _part("The fork", "", "fork.damper", "fork.springing", "fork.layout", "fork.travel_mm",
          "fork.{side}.stanchion_diameter_mm"),
    _part("What was done, and how it was filled",
          "The way it was filled decides most. “I do not know” is a good answer.",
          "service.done", "service.by", "service.when", "service.filled", "service.pumped", "fork.{side}.oil_volume_ml",
          "fork.{side}.oil_level_mm", "bench.oil.condition", "fork.oil.label", "service.notes"),
    _part("From the papers", "", "fork.{side}.oil_level_book_mm", "fork.{side}.oil_volume_book_ml",
          "fork.oil.viscosity_book_cst", folded=True),
    _part("Measured on the bench", "What only a workshop can measure. Leave empty what you have not measured.",
          "fork.{side}.spring.free_length_mm", "fork.{side}.spring.wire_diameter_mm",
          "fork.{side}.spring.coil_mean_diameter_mm", "fork.{side}.spring.total_coils",
          "fork.{side}.spring.rate_n_per_mm", "bench.springs_measured.pair", "bench.drain.{side}_out_ml",
          "bench.run_out.{side}_tube_mm", "bench.run_out.axle_mm", "bench.run_out.limit_mm", "bench.run_out.result",
          "bench.twins.result", "fork.{side}.gauge_pressure_bar", "shock.gas_pressure_bar", folded=True),
    _part("Measured on the bike", "", "bench.sag.free_sag_mm", "bench.sag.rider_sag_mm", "bench.travel.used_mm",
          "bench.travel.end_feel", "bench.push.end_feel", "bench.look.oil_on_tube", folded=True),
)
PLACES = {place.name: place for place in (*SECTIONS, *BENCH_TESTS)}


def parts_for(place: str = "") -> tuple[Part, ...]:
    """Return the job card, or the questions of one section or bench test where ``place`` names one."""
    if place not in PLACES:
        return JOB_CARD
    named = PLACES[place]
    lead = str(getattr(named, "lead", "") or getattr(named, "purpose", ""))
    return (Part(named.title, lead, named.questions, checklist=named.name == "safety"),)


def shown(parts: Iterable[Part], document: Mapping[str, Any], faults: Iterable[Fault] = ()) -> tuple[Shown, ...]:
    """Return the parts as a page shows them."""
    doubts, faults = tuple((doubt.path, doubt.question) for doubt in doubts_of(document)), tuple(faults)
    return tuple(Shown(part, tuple(rows(part.questions, document, faults, doubts)
                                   + rows_not_needed(part.questions, document, faults, doubts))) for part in parts)


def answers_in(parts: Iterable[Part], document: Mapping[str, Any], data: QueryDict) -> dict[str, Any]:
    """Return the posted answers by path, as typed."""
    return read_posted([question for part in parts for question in part.questions], document, data)


def with_answers(document: dict[str, Any], answers: Mapping[str, Any]) -> dict[str, Any]:
    """Return ``document``, a copy of the caller's own, with the answers in it."""
    for path, raw in answers.items():
        put(document, path, raw, {})
    return document


def elsewhere(faults: Iterable[Fault], parts: Iterable[Shown]) -> list[Fault]:
    """Return the faults that no field of the page shows."""
    here = {field.path for part in parts for field in fields_of(part.rows)}
    return [fault for fault in faults if fault.path not in here]
