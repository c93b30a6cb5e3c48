"""Draws behind each spread: one estimate has one set of draws, and nobody else gets them."""
from __future__ import annotations

import numpy as np
import pytest

from analysis.estimates import Estimate
from analysis.setups import drawing


def test_an_estimate_that_is_gone_leaves_its_draws_to_nobody() -> None:
    pick = drawing(np.random.default_rng(1), 3)
    # Each estimate is dropped at once, so that the next one may stand at its address.
    assert [float(np.mean(pick(Estimate(float(k), 0.0)))) for k in range(60)] == list(range(60))


def test_one_estimate_has_the_same_draws_each_time_and_an_equal_one_has_its_own() -> None:
    pick, first, second = drawing(np.random.default_rng(1)), Estimate(2.0, 0.5), Estimate(2.0, 0.5)
    np.testing.assert_array_equal(pick(first), pick(first))
    assert not np.array_equal(pick(first), pick(second))
    assert np.mean(pick(first)) == pytest.approx(2.0, abs=0.1) and np.std(pick(first)) == pytest.approx(0.5, abs=0.07)
