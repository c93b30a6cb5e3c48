"""Play at the rear rim, a wheel that will not spin, tubes set unequally, a rear that sank: each moves its own cause."""
from __future__ import annotations

import numpy as np
import pytest

from analysis.document import parse_case
from analysis.inputs import read_inputs
from analysis.posterior import assess
from tests.reference_fork import Document, case


def odds(cause: str, **parts: Document) -> float:
    told = parse_case(case(**parts))
    posterior = assess(told, read_inputs(told), np.random.default_rng(5), 600)
    return dict(zip((c.name for c in posterior.world.causes), posterior.probabilities(), strict=True))[cause]


@pytest.mark.parametrize(("cause", "bad", "good", "times"), [
    ("rear linkage stuck", {"rear_play": {"up_down_mm": 4, "side_mm": 3}}, {"rear_play": {"up_down_mm": 0.5}}, 20),
    ("tyre, bearing or brake", {"rolling": {"spin_turns": 1}}, {"rolling": {"spin_turns": 7}}, 3),
    ("friction or misalignment", {"heights": {"left_tube_mm": 6, "right_tube_mm": 8.5}},
     {"heights": {"left_tube_mm": 6, "right_tube_mm": 6}}, 2),
    ("rear spring or height", {"heights": {"rear_mm": 500, "rear_before_mm": 540}},
     {"heights": {"rear_mm": 500, "rear_before_mm": 501}}, 5),
    ("bent part", {"run_out": {"left_tube_mm": 0.6, "limit_mm": 0.2, "result": "over"}},
     {"run_out": {"left_tube_mm": 0.04, "limit_mm": 0.2, "result": "within"}}, 20),
    ("unequal oil", {"top_out": {"side": "left"}}, {"top_out": {"side": "both"}}, 1.1)])
def test_a_number_speaks_for_its_own_cause(cause: str, bad: Document, good: Document, times: float) -> None:
    assert odds(cause, bench=bad) > times * odds(cause, bench=good)
