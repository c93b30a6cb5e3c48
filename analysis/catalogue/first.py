"""The eight first questions: three minutes, enough for a first opinion and for every sign that means "do not ride".

Nothing is asked here that is not asked elsewhere: each step names paths of questions that live in their own section.
"""
from __future__ import annotations

from dataclasses import dataclass

from analysis.catalogue.safety import SAFETY


@dataclass(frozen=True)
class FirstStep:
    """One of the first questions: ``paths`` are shown together, ``settle`` says when it counts as answered.

    It is answered once one of ``settle`` has an answer, "I do not know" included, or all of them where ``all_of``.
    As a checklist, signs are ticked where they are so, and one tick says that the others are not.
    """

    name: str
    title: str
    paths: tuple[str, ...]
    settle: tuple[str, ...]
    all_of: bool = False
    checklist: bool = False


def _step(name: str, title: str, *paths: str, settle: tuple[str, ...] = ()) -> FirstStep:
    return FirstStep(name, title, paths, settle or paths[:1])


_SIGNS = tuple(question.path for question in SAFETY.questions)

FIRST_STEPS: tuple[FirstStep, ...] = (
    _step("complaint", "What bothers you?", "complaint.words", "complaint.symptoms",
          settle=("complaint.words", "complaint.symptoms")),
    FirstStep("safety", "Is any of this so? Look before you touch", _SIGNS, _SIGNS, all_of=True, checklist=True),
    _step("since", "When did it start?", "complaint.since"),
    _step("service", "What was the last work on it?", "service.done", "service.by", "service.when"),
    _step("bike", "Which bike is it?", "bike.kind", "bike.description", "bike.mass_kg"),
    _step("rider", "How heavy are you, dressed to ride?", "rider.mass_kg"),
    _step("fork", "What kind of fork is it?", "fork.layout", "fork.damper", "fork.springing",
          settle=("fork.layout", "fork.damper", "fork.springing")),
    _step("can", "What can you do where the bike is?", "rider.can"),
)
"""In the order in which they are asked.  The signs stand near the top: nothing else matters where one is there."""


@dataclass(frozen=True)
class Wanted:
    """Something that every judgement leans on: there once one of ``paths`` is answered, asked at ``place``."""

    title: str
    paths: tuple[str, ...]
    place: str


WANTED: tuple[Wanted, ...] = (
    Wanted("rider sag", ("bench.sag.rider_from_below_mm", "bench.sag.rider_sag_mm"), "sag"),
    Wanted("travel used", ("bench.travel.used_mm",), "travel"),
    Wanted("how the oil was filled", ("service.filled",), "service"),
    Wanted("full stroke", ("fork.travel_mm",), "fork"),
    Wanted("diameter of the sliding tube", ("fork.left.stanchion_diameter_mm",), "legs"),
    Wanted("oil level in the papers", ("fork.left.oil_level_book_mm",), "legs"),
    Wanted("spring rate", ("fork.left.spring.rate_n_per_mm", "fork.right.spring.rate_n_per_mm"), "springs"),
)
"""What a page names as missing, the most telling first."""
