"""Who has a case: one tuner at a time, for half an hour after the last act, and each change leaves a trace."""
from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from intake import services
from intake.errors import Refused
from intake.models import Case
from intake.services.holding import STAY
from tests.intake.queued import queued

pytestmark = pytest.mark.django_db
S = Case.State
NOTE = {"believe": "Too much oil: it locks at 101 mm", "doubt": "the bore", "promised": "a letter by Friday",
        "do_not": "drain twice", "rider": "patient"}


@pytest.fixture
def case():
    return queued(title="A bike that dives")


@pytest.fixture
def ann(tuner):
    return tuner.user


@pytest.fixture
def ben(other_tuner):
    return other_tuner.user


def diary(case):
    return [(event.who, event.what) for event in case.events.all()]


def test_a_case_is_taken_once_and_a_second_click_is_no_second_event(case, ann):
    assert services.take_case(case=case, user=ann) and not services.take_case(case=case, user=ann)
    assert services.holder_of(case) == ann and diary(case) == [("tuner", "Taken.")]


def test_a_colleague_is_told_who_has_it_and_can_take_it_over_with_a_trace(case, ann, ben):
    services.take_case(case=case, user=ann)
    with pytest.raises(services.Held, match="tuner holds"):
        services.take_case(case=case, user=ben)
    assert services.take_case(case=case, user=ben, over=True)
    assert services.holder_of(case) == ben
    assert diary(case)[-1] == ("other_tuner", "Taken over from tuner.")


def test_a_hold_runs_out_half_an_hour_after_the_last_act(case, ann, ben):
    now = timezone.now()
    with time_machine.travel(now, tick=False):
        services.take_case(case=case, user=ann)
    with time_machine.travel(now + timedelta(minutes=20), tick=False):
        services.stay(number=case.number, user=ben)
        services.stay(number=case.number, user=ann)
    case.refresh_from_db()
    assert case.held_until == now + timedelta(minutes=20) + STAY
    with time_machine.travel(now + timedelta(minutes=51), tick=False):
        assert services.holder_of(case) is None
        assert services.take_case(case=case, user=ben)
    assert diary(case)[-1] == ("other_tuner", "Taken.")


def test_looking_at_a_case_does_not_take_it(case, ann):
    services.stay(number=case.number.lower(), user=ann)
    case.refresh_from_db()
    assert services.holder_of(case) is None


def test_only_the_holder_gives_back(case, ann, ben):
    with pytest.raises(Refused, match="nothing to give back"):
        services.give_back(case=case, user=ann)
    services.take_case(case=case, user=ann)
    with pytest.raises(services.Held):
        services.give_back(case=case, user=ben)
    services.give_back(case=case, user=ann)
    assert services.holder_of(case) is None and diary(case)[-1] == ("tuner", "Given back.")


def test_handing_over_keeps_five_lines_for_the_colleague(case, ann, ben):
    services.hand_over(case=case, to=ben, note={**NOTE, "doubt": " the\nbore  "}, user=ann)
    assert services.holder_of(case) == ben
    note = services.newest_note(case=case)
    assert (note.what, note.detail) == ("Handed over to other_tuner.", {"to": "other_tuner", "note": NOTE})


@pytest.mark.parametrize("line", NOTE)
@pytest.mark.parametrize("words", ["", "   ", "x" * 301])
def test_a_note_lacks_no_line_and_each_is_short(case, ann, ben, line, words):
    with pytest.raises(Refused):
        services.hand_over(case=case, to=ben, note={**NOTE, line: words}, user=ann)
    case.refresh_from_db()
    assert case.holder is None and diary(case) == []


def test_it_is_handed_to_another_tuner_and_by_whoever_has_it(case, ann, ben, django_user_model):
    rider = django_user_model.objects.create_user("no_tuner")
    for nobody in (ann, rider):
        with pytest.raises(Refused, match="no colleague"):
            services.hand_over(case=case, to=nobody, note=NOTE, user=ann)
    services.take_case(case=case, user=ben)
    with pytest.raises(services.Held):
        services.hand_over(case=case, to=ben, note=NOTE, user=ann)


def test_the_next_case_is_the_first_drafted_one_that_nobody_holds(ann, ben):
    ago = timezone.now() - timedelta(hours=5)
    first, second = queued(since=ago), queued()
    queued(since=ago - timedelta(hours=40), state=S.HANDED_IN)
    queued(since=ago - timedelta(hours=40), state=S.ADVISED)
    assert services.take_next(user=ann) == first
    assert services.take_next(user=ben) == second
    assert services.take_next(user=ben) is None
    stopped = queued(stop=True, state=S.WORKSHOP_ONLY)
    services.give_back(case=first, user=ann)
    assert [services.take_next(user=ben), services.take_next(user=ben)] == [stopped, first]


def test_when_the_ball_goes_to_the_rider_the_hold_ends_and_whose_it_was_stays(case, ann):
    services.take_case(case=case, user=ann)
    services.ask_rider(case=case, question="How high is the oil?", user=ann)
    case.refresh_from_db()
    assert services.holder_of(case) is None and case.holder == ann


@pytest.mark.parametrize("state", [S.CLOSED, S.WITHDRAWN])
def test_what_has_ended_is_nobodys(ann, state):
    with pytest.raises(Refused, match="only be read"):
        services.take_case(case=queued(state=state), user=ann)
