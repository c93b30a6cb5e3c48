"""Closed cases for the tests of what is learnt from them."""
from __future__ import annotations

from typing import Any

from intake.models import Case
from reports import services
from reports.models import Outcome
from tests.letter_cases import drafted_letter, handed_in, tuner


def closed(outcome: str = "over-filled", proof: str = "seen inside", **said: Any) -> Outcome:
    """Draft a case with the fake engine and close it."""
    case = Case.objects.get(pk=drafted_letter(handed_in(shop=said.pop("shop", None))).round.case_id)
    return services.record_outcome(case=case, outcome=outcome, proof=proof, user=tuner(), **said)
