"""What happens to a case between the hand-in and its end."""
from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import override

from analysis.catalogue import BENCH_TESTS, SECTIONS
from intake.asking import MOST, QUESTION, STILL_RIGHT, TEST, TESTS, Ask, held, in_words, is_done, place_of
from intake.errors import Refused
from intake.events import WORKER, record_event
from intake.models import Case, Round, WorkOrder
from intake.paths import storable
from intake.question_mail import mail_question, to_be_mailed
from intake.states import hold, move, rank_anew

S = Case.State
PLACES = frozenset(page.name for page in (*SECTIONS, *BENCH_TESTS))
"""Where a tuner's question can point to."""
ASKED_ANEW = ("bench", "safety")
"""Parts of the document that a new round leaves empty: they are looked at and measured again."""


def ask_rider(
    *, case: Case, user: AbstractBaseUser, question: str = "", path: str = "", tests: Sequence[str] = (),
    still_right: Sequence[str] = (),
) -> None:
    """Ask the rider for up to three things: the newest round opens again, and work not drafted yet is called off.

    ``tests`` are bench tests by name, ``still_right`` paths of answers on file to be looked at again, ``question`` one
    in the tuner's words with the ``path``, a page's name, where its answer belongs, or blank.  All of it is mailed with
    a private link, in the rider's language, where there is an address.  The same a second time (a doubled click)
    changes nothing.
    """
    question = storable(question).strip()
    asks = _asks(case, question, path, tests, still_right)
    with override(case.language):
        words = in_words(asks)
    with transaction.atomic():
        hold(case)
        round = case.current_round
        if not move(case, S.NEEDS_ANSWER, question=words, question_path=asks[0].place,
                    asked={"revision": round.revision, "asks": [ask.as_row() for ask in asks],
                           **to_be_mailed(case)}):
            _refuse_unless(case.state == S.NEEDS_ANSWER and case.question == words, case,
                           _("A question can be asked once the answers are handed in, and one at a time."))
            return
        Round.objects.filter(pk=round.pk).update(handed_in_at=None)
        call_off_work(case)
        _record_by(case, user, "Rider asked.", {"question": words, "path": path, "asks": case.asked["asks"]})
        mail_question(case=case)


def _asks(case: Case, question: str, path: str, tests: Sequence[str], still_right: Sequence[str]) -> list[Ask]:
    """Return what is asked for, tests first, as they tell most; refused where it cannot be asked like this."""
    document = case.current_round.document
    asks = [*(_test(document, name) for name in dict.fromkeys(tests)),
            *(_look_again(case, document, one) for one in dict.fromkeys(still_right))]
    if question:
        if path and path not in PLACES:
            raise Refused(_("The form has no page '%(page)s'.") % {"page": path[:80]},
                          _("Pick one of the form's pages, or none."))
        asks.append(Ask(QUESTION, path, words=question))
    if not asks:
        raise Refused(_("There is no question."), _("Write what you want to know."))
    if len(asks) > MOST:
        raise Refused(f"{len(asks)} things are asked for; {MOST} at once are the most.",
                      "Leave those that would change the answer most.")
    return asks


def _test(document: dict[str, Any], name: str) -> Ask:
    if name not in TESTS:
        raise Refused("There is no such bench test.", "Pick one from the list.")
    if is_done(document, name):
        raise Refused(f"'{TESTS[name].title}' is on file already.", "Ask whether what we hold is still right.")
    return Ask(TEST, name)


def _look_again(case: Case, document: dict[str, Any], path: str) -> Ask:
    with override(case.language):
        field = held(document, path)
        if field is None:
            raise Refused("There is no such answer on file.", "Pick one from the list, or ask in your own words.")
        return Ask(STILL_RIGHT, place_of(path), path, field.said)


def open_next_round(*, case: Case, who: str, user: AbstractBaseUser | None = None) -> Round:
    """Open the next round: the answers are copied, bench results and safety signs are asked again.

    A doubled click gets the round that the first one opened.
    """
    with transaction.atomic():
        if not move(case, S.COLLECTING):
            newest = case.current_round
            _refuse_unless(case.state == S.COLLECTING and newest.number > 1, case,
                           _("A next round can be opened once the letter is out, or a workshop has done its part."))
            return newest
        last = case.current_round
        document = {key: value for key, value in deepcopy(last.document).items() if key not in ASKED_ANEW}
        opened = Round.objects.create(case=case, number=last.number + 1, document=document)
        record_event(case=case, who=who, what=f"Round {opened.number} opened.", user=user,
                     detail={"round": opened.number})
    return opened


def record_assessment(*, order: WorkOrder, summary: dict[str, Any], stop: bool) -> bool:
    """Put an assessment's summary on the case, and say whether it still counted.

    ``order`` is the work order as the worker claimed it.  Where the round was handed in again meanwhile, or a newer
    round exists, the result is older than the case and is set aside.  A case that waits for the rider, was advised or
    has ended keeps its state; only a stop sign that is news brings an advised case back to the top of the queue.
    """
    case = order.round.case
    with transaction.atomic():
        hold(case)
        latest = WorkOrder.objects.filter(pk=order.pk, revision=order.revision, round=case.current_round)
        counts = latest.exists()
        if counts:
            if case.state != S.ADVISED or (stop and not case.stop):
                move(case, S.WORKSHOP_ONLY if stop else S.READY)
            rank_anew(case, summary=summary, stop=stop)
        record_event(case=case, who=WORKER, what="Assessed." if counts else "Older assessment set aside.",
                     detail={"round": order.round.number, "revision": order.revision, "stop": stop,
                             "verdict": summary.get("verdict")})
    case.refresh_from_db()
    return counts


def mark_advised(*, case: Case, user: AbstractBaseUser | None) -> None:
    """Note that the approved letter is out.  A second time changes nothing."""
    with transaction.atomic():
        if not move(case, S.ADVISED):
            _refuse_unless(case.state == S.ADVISED, case, _("A letter can go out once the round is drafted."))
            return
        _record_by(case, user, "Rider advised.", {"round": case.current_round.number})


def take_back_advice(*, case: Case, user: AbstractBaseUser) -> None:
    """Note that an approved letter was taken back before it went out: the case waits for the tuner again."""
    with transaction.atomic():
        hold(case)
        if case.state == S.ADVISED and move(case, S.WORKSHOP_ONLY if case.stop else S.READY):
            _record_by(case, user, "Advice taken back.", {"round": case.current_round.number})


def withdraw(*, case: Case, who: str = "rider") -> None:
    """Withdraw the case on the rider's word: no more work is done, nothing more is mailed."""
    with transaction.atomic():
        if not move(case, S.WITHDRAWN):
            _refuse_unless(case.state == S.WITHDRAWN, case, _("A closed case cannot be withdrawn any more."))
            return
        call_off_work(case)
        record_event(case=case, who=who, what="Case withdrawn.")


def call_off_work(case: Case) -> None:
    """Take away work that is not done yet; a worker that holds it finds its claim gone."""
    WorkOrder.objects.filter(round__case=case).exclude(state=WorkOrder.State.DONE).delete()


def _refuse_unless(fine: bool, case: Case, mend: str) -> None:
    if not fine:
        raise Refused(_("The case is %(state)s.") % {"state": case.get_state_display()}, mend)


def _record_by(case: Case, user: AbstractBaseUser | None, what: str, detail: dict[str, Any]) -> None:
    record_event(case=case, who=user.get_username() if user else WORKER, what=what, detail=detail, user=user)
