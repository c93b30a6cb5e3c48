"""Two guesses of which neither decides alone may decide together: then no cause is named, and both are said."""
from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from analysis.causes import CAUSES
from analysis.document import parse_case
from analysis.verdict import Verdict, verdict


class Odds:
    """Two causes: the first with 0.95, less by a step for each guessed answer that is left out."""

    def __init__(self, step: float) -> None:
        self.step = step
        self.world = SimpleNamespace(causes=CAUSES[:2], case=parse_case({}))
        self.evidence = [SimpleNamespace(path=path, title=path, known="guessed", is_label=False)
                         for path in ("bench.push.end_feel", "bench.travel.end_feel")]

    def probabilities(self, without: tuple[str, ...] = ()) -> Any:
        first = 0.95 - self.step * len(without)
        return np.array([first, 1 - first])


def judged(step: float) -> Verdict:
    odds: Any = Odds(step)
    return verdict(odds, (), (), lambda *_: odds)


def test_what_two_guesses_carry_together_is_not_named() -> None:
    found = judged(0.3)
    assert found.kind == "cannot tell yet" and len(found.why_open) == 1
    assert "bench.push.end_feel and bench.travel.end_feel" in found.why_open[0]


@pytest.mark.parametrize(("step", "kind", "words"), [(0.02, "cause", 0), (0.5, "cannot tell yet", 2)])
def test_guesses_that_carry_nothing_leave_it_and_each_that_carries_is_said(step: float, kind: str, words: int) -> None:
    found = judged(step)
    assert (found.kind, len(found.why_open)) == (kind, words)
