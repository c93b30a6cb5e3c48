"""What a tuner has decided of their own on a round's answers as they are: numbers, and a leading cause."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from analysis.causes import BY_NAME
from intake.models import Round
from reports.shelf_models import SheetLink
from reports.tuner_models import ChosenNumbers, Judgement


@dataclass(frozen=True)
class Hand:
    """Numbers and judgement that stand, and how many decisions have led to them."""

    numbers: ChosenNumbers | None
    judgement: Judgement | None
    making: int

    @property
    def chosen(self) -> Mapping[str, Any]:
        """The numbers for ``analysis.chosen.read_chosen``; nothing where the engine's stand."""
        return self.numbers.numbers if self.numbers else {}

    @property
    def cause(self) -> str | None:
        """The cause that a tuner holds for the right one."""
        return self.judgement.cause if self.judgement else None

    def summary(self) -> dict[str, Any]:
        """Return what a queue row shows of it."""
        if self.judgement is None:
            return {}
        return {"judgement": {"title": BY_NAME[self.judgement.cause].title, "who": self.judgement.who}}


def hand_of(round: Round) -> Hand:
    """Return what stands on the round's answers as they are; what was decided on earlier answers is left behind."""
    numbers = list(ChosenNumbers.objects.filter(round=round, revision=round.revision))
    judged = list(Judgement.objects.filter(round=round, revision=round.revision))
    making = len(numbers) + len(judged) + sum(one.taken_back_at is not None for one in judged) + _sheet_moves(round)
    standing = next((one for one in judged if one.taken_back_at is None), None)
    return Hand(numbers[-1] if numbers else None, standing, making)


def _sheet_moves(round: Round) -> int:
    """Count how often a data sheet was laid under the case or taken off: each is a decision of its own."""
    ended = SheetLink.objects.filter(case=round.case_id).values_list("ended_at", flat=True)
    return len(ended) + sum(at is not None for at in ended)


def engines_verdict(findings: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the engine's own verdict, whoever judged otherwise."""
    found: Mapping[str, Any] = findings.get("engines_verdict") or findings["verdict"]
    return found
