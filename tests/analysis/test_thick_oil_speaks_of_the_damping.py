"""Oil thicker or thinner than the papers ask for is a reason for damping that is too strong or too weak."""
from __future__ import annotations

import pytest

from tests.reference_fork import case, findings

STRONG = ("rebound too slow", "too much compression damping")
WEAK = ("rebound too fast", "too little compression damping", "worn damper")


def odds(inside: float | None, book: float | None = 16, **oil: object) -> dict[str, float]:
    told = case({"oil_level_mm": 140}, fork={"oil": {
        "viscosity_40_cst": inside, "viscosity_book_cst": book, **oil}})
    return {cause["name"]: cause["probability"] for cause in findings(told)["causes"]}


def of(names: tuple[str, ...], found: dict[str, float]) -> float:
    return sum(found.get(name, 0.0) for name in names)


@pytest.mark.parametrize(("inside", "names"), [(46, STRONG), (6, WEAK)])
def test_oil_of_the_wrong_thickness_makes_the_damping_it_gives_likelier(inside: float, names: tuple[str, ...]) -> None:
    said_nothing, said = of(names, odds(None)), of(names, odds(inside))
    assert said > 2 * said_nothing
    other = WEAK if names is STRONG else STRONG
    assert of(other, odds(inside)) < of(other, odds(None))


def test_oil_as_the_papers_ask_for_speaks_a_little_against_a_wrong_damping() -> None:
    assert of(STRONG + WEAK, odds(16)) < of(STRONG + WEAK, odds(None))


def test_without_the_papers_number_the_oils_thickness_says_nothing() -> None:
    assert odds(46, None) == pytest.approx(odds(None), abs=0.01)


def test_of_two_oils_the_mix_is_what_counts() -> None:
    assert of(STRONG, odds(46, second_viscosity_cst=10, second_share=0.8)) < of(STRONG, odds(46))
