"""Everything that can be asked about a case, as data: sections, questions and guided bench tests.

The rider's pages, the REST API, the JSON Schema, the printed bench sheet and the report all read these lists.
To add a question is to add one ``Question`` to one section; to add a bench test is to add one ``BenchTest``.
"""
from __future__ import annotations

from collections.abc import Iterator

from analysis.catalogue.bench import BENCH_TESTS
from analysis.catalogue.bike import BIKE, COMPLAINT, RIDER, USE
from analysis.catalogue.fork import FORK, LEGS, MORE, SETTINGS, SPRINGS
from analysis.catalogue.kinds import SIDES, BenchTest, Choice, Condition, Question, Section, Spread
from analysis.catalogue.oil import FORK_OIL
from analysis.catalogue.rear import SHOCK, TYRES
from analysis.catalogue.safety import SAFETY
from analysis.catalogue.service import SERVICE

SECTIONS: tuple[Section, ...] = (
    COMPLAINT, SAFETY, BIKE, RIDER, USE, SERVICE, FORK_OIL, FORK, LEGS, SPRINGS, MORE, SETTINGS, TYRES, SHOCK,
)
"""The pages before the bench tests, in the order in which a person meets them."""


def _all_questions() -> Iterator[Question]:
    for section in SECTIONS:
        yield from section.questions
    for test in BENCH_TESTS:
        yield from test.questions


QUESTIONS: dict[str, Question] = {
    path: question for question in _all_questions() for path in question.paths()
}
"""Every question by its full path, the leg's side filled in."""

__all__ = [
    "BENCH_TESTS", "QUESTIONS", "SECTIONS", "SIDES",
    "BenchTest", "Choice", "Condition", "Question", "Section", "Spread",
]
