"""Of all the times it says eight in ten it is right in eight: a short run of the simulation behind the picture."""
from __future__ import annotations

import pytest

from tests.bench.calibration import Judged, judged

pytestmark = pytest.mark.bench


@pytest.fixture(scope="module")
def result() -> Judged:
    return judged(150, 300, seed=7)


def test_what_it_says_comes_true_as_often_as_it_says(result: Judged) -> None:
    rows = result.reliability(result.engine)
    outside = [row for row in rows if not row[-1]]
    # A band of 99 % lets one bin of a hundred out; two of some eight are no accident.
    assert len(rows) >= 6 and len(outside) <= 1, rows


def test_it_tells_more_than_base_rates_and_a_plain_table(result: Judged) -> None:
    engine = result.brier(result.engine)
    assert engine < 0.85 * result.brier(result.rates)
    assert engine < result.brier(result.table)


def test_numbers_and_answers_both_earn_their_place(result: Judged) -> None:
    assert result.bits(result.engine) > result.bits(result.no_numbers)
    assert result.bits(result.engine) > result.bits(result.no_answers)
