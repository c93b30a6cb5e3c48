"""A case ends with what it really was, and with how we know."""
from __future__ import annotations

import pytest

from analysis.causes import CAUSES
from intake import services
from intake.errors import Refused
from intake.models import Case

pytestmark = pytest.mark.django_db


def close(case: Case, user: object, outcome: str, proof: str = "measured again", words: str = "") -> Case:
    services.close_case(case=case, outcome=outcome, proof=proof, words=words, user=user)
    return Case.objects.get(pk=case.pk)


def test_every_cause_the_engine_knows_is_an_outcome_and_two_more():
    assert set(services.outcomes()) == {cause.name for cause in CAUSES} | {"something else", "never heard"}


def test_every_outcome_and_proof_fits_where_it_is_kept():
    assert all(len(name) <= 40 for name in (*services.outcomes(), *services.PROOFS))


def test_a_case_is_closed_with_outcome_proof_and_words(rider, tuner):
    case = close(rider.case, tuner.user, CAUSES[0].name, "seen inside", " 100 ml too much ")
    assert (case.state, case.outcome, case.outcome_proof, case.outcome_words) == (
        Case.State.CLOSED, CAUSES[0].name, "seen inside", "100 ml too much")


def test_a_doubled_click_closes_once(rider, tuner):
    close(rider.case, tuner.user, CAUSES[0].name)
    case = close(rider.case, tuner.user, CAUSES[0].name)
    assert case.events.filter(what="Case closed.").count() == 1


def test_a_second_tuner_with_another_outcome_is_told_the_first(rider, tuner, other_tuner):
    close(rider.case, tuner.user, CAUSES[0].name)
    with pytest.raises(Refused, match=CAUSES[0].name):
        close(rider.case, other_tuner.user, CAUSES[1].name)
    assert Case.objects.get(pk=rider.case.pk).outcome == CAUSES[0].name


@pytest.mark.parametrize("outcome, proof, words", [
    ("gremlins", "measured again", ""), ("something else", "told", " "), (CAUSES[0].name, "", ""),
    (CAUSES[0].name, "a hunch", "")])
def test_what_is_missing_for_an_outcome_is_asked_for(rider, tuner, outcome, proof, words):
    with pytest.raises(Refused):
        close(rider.case, tuner.user, outcome, proof, words)
    assert Case.objects.get(pk=rider.case.pk).state == Case.State.COLLECTING


def test_a_rider_who_was_never_heard_of_again_needs_no_proof(rider, tuner):
    assert close(rider.case, tuner.user, "never heard", proof="").state == Case.State.CLOSED
