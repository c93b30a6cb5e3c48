"""Tests that are not offered for this bike as it is."""
from __future__ import annotations

from analysis.catalogue import BENCH_TESTS
from analysis.catalogue.branches import OF_TWO_TUBES
from analysis.document import Case
from analysis.state import kept_closed

OPEN_THE_FORK = tuple(test.name for test in BENCH_TESTS if "caps" in test.needs)
"""Tests that are not done at home on a leg that stays closed."""
ON_THE_ROAD = tuple(test.name for test in BENCH_TESTS if "ride" in test.needs)
HEAVIEST_TO_PUSH = 260.0
"""A bike heavier than this, in kg, is not pushed hard by hand: common practice, no source."""


def unsafe_tests(case: Case, *, hardly_rideable: bool = False) -> tuple[str, ...]:
    """Return the names of the tests that this bike bars; ``hardly_rideable``: its fork stops far too early."""
    heavy = (case.number("bike.mass_kg") or 0.0) > HEAVIEST_TO_PUSH
    stays_home = hardly_rideable or case.value("bench.look.oil_on_tube") == "drops"
    no_tubes = case.value("fork.layout") == "other"
    return (*(OF_TWO_TUBES if no_tubes else ()), *(OPEN_THE_FORK if kept_closed(case) else ()),
            *(ON_THE_ROAD if stays_home else ()), *(("push",) if heavy else ()))
