"""The one table of moves: every move that is not in it is refused, and changes nothing."""
from __future__ import annotations

import pytest

from intake import services
from intake.errors import Refused
from intake.models import Case
from intake.states import MOVES, move

pytestmark = pytest.mark.django_db
S = Case.State

DESIGN = {
    (S.COLLECTING, S.HANDED_IN), (S.HANDED_IN, S.READY), (S.HANDED_IN, S.WORKSHOP_ONLY), (S.READY, S.ADVISED),
    (S.WORKSHOP_ONLY, S.ADVISED), (S.ADVISED, S.COLLECTING), (S.WORKSHOP_ONLY, S.COLLECTING),
    (S.HANDED_IN, S.NEEDS_ANSWER), (S.READY, S.NEEDS_ANSWER), (S.WORKSHOP_ONLY, S.NEEDS_ANSWER),
    (S.NEEDS_ANSWER, S.HANDED_IN), (S.READY, S.WORKSHOP_ONLY), (S.WORKSHOP_ONLY, S.READY),
    (S.ADVISED, S.READY), (S.ADVISED, S.WORKSHOP_ONLY),
} | {(state, end) for state in S if state not in (S.CLOSED, S.WITHDRAWN) for end in (S.CLOSED, S.WITHDRAWN)}
"""Written out again by hand, so that the table cannot change unseen."""


def test_the_table_names_every_state_and_exactly_these_moves():
    assert set(MOVES) == set(S)
    assert {(a, b) for a, follow in MOVES.items() for b in follow} == DESIGN


@pytest.mark.parametrize("start, to", [(a, b) for a in S for b in S])
def test_a_case_moves_where_the_table_says_and_nowhere_else(rider, start, to):
    Case.objects.filter(pk=rider.case.pk).update(state=start)
    moved = move(rider.case, to)
    assert moved == ((start, to) in DESIGN)
    assert Case.objects.get(pk=rider.case.pk).state == (to if moved else start)


def call(verb: str, case: Case, user: object) -> None:
    {
        "ask": lambda: services.ask_rider(case=case, question="Which oil?", path="", user=user),
        "advise": lambda: services.mark_advised(case=case, user=user),
        "next": lambda: services.open_next_round(case=case, who="tuner"),
        "close": lambda: services.close_case(case=case, outcome="never heard", proof="", words="", user=user),
        "withdraw": lambda: services.withdraw(case=case),
    }[verb]()


REFUSED = [
    ("ask", S.COLLECTING), ("ask", S.NEEDS_ANSWER), ("ask", S.ADVISED), ("ask", S.CLOSED), ("ask", S.WITHDRAWN),
    ("advise", S.COLLECTING), ("advise", S.HANDED_IN), ("advise", S.NEEDS_ANSWER), ("advise", S.CLOSED),
    ("advise", S.WITHDRAWN),
    ("next", S.COLLECTING), ("next", S.HANDED_IN), ("next", S.READY), ("next", S.NEEDS_ANSWER), ("next", S.CLOSED),
    ("next", S.WITHDRAWN),
    ("close", S.CLOSED), ("close", S.WITHDRAWN), ("withdraw", S.CLOSED),
]


@pytest.mark.parametrize("verb, state", REFUSED)
def test_a_verb_out_of_its_time_says_how_the_case_stands_and_changes_nothing(rider, tuner, verb, state):
    Case.objects.filter(pk=rider.case.pk).update(state=state, question="Something asked before")
    case = Case.objects.get(pk=rider.case.pk)
    events = case.events.count()
    with pytest.raises(Refused) as refused:
        call(verb, case, tuner.user)
    assert str(S(state).label) in refused.value.problem and refused.value.mend
    after = Case.objects.get(pk=case.pk)
    assert (after.state, after.question, after.rounds.count(), after.events.count()) == (
        state, "Something asked before", 1, events)
