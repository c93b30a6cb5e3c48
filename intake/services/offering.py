"""A rider who was here before: old answers are offered for the new case, and none of them counts until confirmed."""
from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from analysis.catalogue import QUESTIONS
from intake.events import RIDER, record_event
from intake.models import Case, Round
from intake.paths import answers_of, at_path, is_blank
from intake.services.answers import save_answers
from intake.states import open_round

OF_THE_PERSON = ("rider",)
OF_THE_BIKE = ("bike", "fork", "shock")
"""Parts of a document that can still be right: never the complaint, the safety signs, the bench or the last job."""


def offer_earlier(*, round: Round, earlier: Case, same_bike: bool) -> Round:
    """Put an earlier case's answers beside the round, apart from its own: of the rider, and of the bike if it is that.

    The caller has made sure that both cases are this rider's.  A doubled click changes nothing; nor does it where the
    round is handed in.
    """
    source = earlier.current_round
    parts = OF_THE_PERSON + (OF_THE_BIKE if same_bike else ())
    answers = {path: raw for path, raw in answers_of(source.document).items()
               if path in QUESTIONS and path.partition(".")[0] in parts and _says_something(raw)}
    offered = {"case": earlier.number, "date": _day(source), "same_bike": same_bike, "answers": answers}
    with transaction.atomic():
        if open_round(round).filter(offered={}).update(offered=offered if answers else {}) and answers:
            record_event(case=round.case, who=RIDER, what="Earlier answers offered.",
                         detail={"case": earlier.number, "same_bike": same_bike, "answers": len(answers)})
    round.refresh_from_db()
    return round


def open_offers(round: Round) -> dict[str, Any]:
    """Return the offered answers by path that are not answered anew since."""
    offered = round.offered.get("answers", {})
    return {path: raw for path, raw in offered.items() if not at_path(round.document, path)[0]}


def confirm_offers(*, round: Round, paths: Iterable[str], forget_rest: bool = False) -> Round:
    """Take over the offered answers that the rider says are still right; the others stay offered, or are forgotten.

    Raises ``Refused`` where the round takes no answers.
    """
    offers = open_offers(round)
    right = {path: offers[path] for path in paths if path in offers}
    with transaction.atomic():
        fresh = save_answers(round=round, answers=right, revision=None)
        rest = {} if forget_rest else {path: raw for path, raw in offers.items() if path not in right}
        open_round(fresh).update(offered=fresh.offered | {"answers": rest})
    fresh.refresh_from_db()
    return fresh


def _says_something(raw: Any) -> bool:
    """Tell whether it is worth offering: what was not known then is asked anew."""
    return raw is not None and not is_blank(raw) and not (isinstance(raw, dict) and raw.get("known") == "unknown")


def _day(source: Round) -> str:
    return timezone.localdate(source.handed_in_at or source.created_at).isoformat()
