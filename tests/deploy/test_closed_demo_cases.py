"""A few demo cases are closed, so that the learning page shows something; real cases are never touched."""
from __future__ import annotations

import pytest

from deploy import demo, demo_closed
from deploy.doors import TUNER
from intake import services
from intake.models import Case
from reports.models import Draft, Outcome
from tests.letter_cases import findings, tuner

pytestmark = pytest.mark.django_db


def test_the_closed_ones_have_titles_of_their_own_and_outcomes_that_exist():
    titles = [document["title"] for document in demo.every_document().values()]
    assert len(set(titles)) == len(titles)
    assert {one["outcome"] for one in demo_closed.outcomes()} <= set(services.outcomes())


def test_they_are_closed_once_they_are_drafted_and_only_once():
    tuner(TUNER)
    cases = demo.load()
    assert demo_closed.close_finished() == 0
    for case in cases:
        Draft.objects.create(round=case.current_round, revision=1, engine_version="1", findings=findings(),
                             letter_text="words")
    assert demo_closed.close_finished() == len(demo_closed.outcomes()) == Outcome.objects.count()
    assert demo_closed.close_finished() == 0


def test_where_there_are_real_cases_nothing_is_loaded():
    services.start_case(title="A real one")
    assert demo.load() == [] and Case.objects.count() == 1
