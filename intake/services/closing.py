"""The end of a case: what it really was, and how we know."""
from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils.translation import gettext as _

from intake.errors import Refused
from intake.events import record_event
from intake.models import Case
from intake.paths import storable
from intake.services.rounds import call_off_work
from intake.states import move

SOMETHING_ELSE = "something else"
NEVER_HEARD = "never heard"
PROOFS: dict[str, str] = {
    "seen inside": "Seen and measured when it was opened",
    "measured again": "Measured again after the work",
    "ridden": "Ridden, and the complaint is gone",
    "told": "Only told",
    "disproved": "What we thought was shown to be wrong",
}
"""How we know what it was, best first: the value that is stored, the words on screens."""
GRADES = {"seen inside": 1, "measured again": 2, "ridden": 3, "told": 4, "disproved": 6}
"""Grade of each proof.  5, never heard from again, has none.  Only grades 1 and 2 teach the base rates."""
TEACHES = 2
"""The last grade that does."""


def outcomes() -> dict[str, str]:
    """Return every outcome a case can be closed with: the value that is stored, the words on screens."""
    from analysis.causes import CAUSES

    return {cause.name: cause.title for cause in CAUSES} | {
        SOMETHING_ELSE: "Something else", NEVER_HEARD: "Never heard"}


def close_case(*, case: Case, outcome: str, proof: str, words: str, user: AbstractBaseUser) -> None:
    """Close the case with what it really was.  The same outcome a second time changes nothing.

    Raises ``Refused`` for an unknown outcome, for one without proof (except 'never heard'), for 'something else'
    without words, and where the case has ended otherwise.
    """
    words = storable(words).strip()
    _check(outcome, proof, words)
    with transaction.atomic():
        if not move(case, Case.State.CLOSED, outcome=outcome, outcome_proof=proof, outcome_words=words):
            if (case.state, case.outcome, case.outcome_proof) == (Case.State.CLOSED, outcome, proof):
                return
            ended = _("The case is %(state)s as '%(outcome)s'.") if case.outcome else _("The case is %(state)s.")
            raise Refused(ended % {"state": case.get_state_display(), "outcome": case.outcome},
                          _("If the trouble is back, start a new case and name this one in it."))
        call_off_work(case)
        record_event(case=case, who=user.get_username(), what="Case closed.", user=user,
                     detail={"outcome": outcome, "proof": proof, "words": words})


def correct_outcome(*, case: Case, outcome: str, proof: str, words: str, user: AbstractBaseUser) -> None:
    """Say anew what a closed case was.  What was said before stays in the diary.

    Raises ``Refused`` as ``close_case`` does, and where the case is not closed.
    """
    words = storable(words).strip()
    _check(outcome, proof, words)
    with transaction.atomic():
        changed = Case.objects.filter(pk=case.pk, state=Case.State.CLOSED).update(
            outcome=outcome, outcome_proof=proof, outcome_words=words)
        if not changed:
            raise Refused("The case is not closed.", "Close it with what it was.")
        record_event(case=case, who=user.get_username(), what="Outcome corrected.", user=user, detail={
            "outcome": outcome, "proof": proof, "words": words, "before": [case.outcome, case.outcome_proof]})
        case.refresh_from_db()


def _check(outcome: str, proof: str, words: str) -> None:
    if outcome not in outcomes():
        raise Refused(f"'{outcome[:80]}' is not an outcome we know.", "Pick one from the list, or 'something else'.")
    if outcome == NEVER_HEARD:
        return
    if proof not in PROOFS:
        raise Refused("It is not said how we know what it was.", "Pick how it was proved.")
    if outcome == SOMETHING_ELSE and not words:
        raise Refused("'Something else' says nothing by itself.", "Write in a few words what it was.")
