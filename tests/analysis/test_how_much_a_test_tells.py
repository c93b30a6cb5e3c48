"""What a test is expected to tell is the information between its result and the cause, against sums by hand."""
from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from analysis.next_test import expected_gain
from analysis.observing import SLIP, Answered, Reading

FIRST = np.random.default_rng(5).permutation(np.repeat([1.0, 0.0], 250))
WORLD: Any = SimpleNamespace(size=500, causes=["first", "second"], cause_index=(1 - FIRST).astype(int))


def answered(first: float, second: float) -> Answered:
    """A question answered yes with these chances, by its cause."""
    def weights(world: Any) -> dict[str, Any]:
        yes = first * FIRST + second * (1 - FIRST)
        return {"yes": yes, "no": 1 - yes}
    return Answered("", "", "", "", weights)


def reading(apart: float) -> Reading:
    """A number whose two causes lie so far apart, in its standard deviations, and that is hardly ever plainly wrong."""
    return Reading("", "", "", lambda case: None, lambda world: apart * FIRST, lambda world: 0.6, 0.8, 1e9)


def told(*entries: Answered | Reading) -> float:
    return float(np.mean([expected_gain(WORLD, entries, np.random.default_rng(seed)) for seed in range(40)]))


def entropy(p: float) -> float:
    return -p * np.log2(p) - (1 - p) * np.log2(1 - p)


@pytest.mark.parametrize(("first", "second"), [(1.0, 0.0), (0.2, 0.0), (0.9, 0.6), (0.5, 0.5)])
def test_an_answer_tells_the_entropy_it_takes_away(first: float, second: float) -> None:
    one, other = ((1 - SLIP) * chance + SLIP / 2 for chance in (first, second))
    exact = entropy((one + other) / 2) - (entropy(one) + entropy(other)) / 2
    assert told(answered(first, second)) == pytest.approx(exact, abs=0.02)


# Second way: the integral over the reading.
@pytest.mark.parametrize("apart", [0.0, 1.0, 2.0, 4.0])
def test_a_number_tells_what_its_spread_lets_through(apart: float) -> None:
    at = np.linspace(-8, 12, 20_001)
    one, other = (np.exp(-0.5 * (at - middle) ** 2) / np.sqrt(2 * np.pi) for middle in (0.0, apart))
    share = np.clip(one / (one + other), 1e-15, 1 - 1e-15)
    left = -(share * np.log2(share) + (1 - share) * np.log2(1 - share))
    exact = 1 - float(np.sum(left * (one + other) / 2) * (at[1] - at[0]))
    assert told(reading(apart)) == pytest.approx(exact, abs=0.04)


def test_two_answers_tell_more_than_one_and_never_more_than_there_is() -> None:
    once, twice = told(answered(0.8, 0.3)), told(answered(0.8, 0.3), answered(0.8, 0.3))
    assert 1.5 * once < twice < 2 * once < 1.0
