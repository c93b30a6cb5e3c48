"""A full assessment against numpy evaluating as many curves in one call."""
import json
from pathlib import Path

import numpy as np
import pytest

from analysis import analyse, parse_case
from analysis.causes import CAUSES
from analysis.posterior import DRAWS
from tests.bench.conftest import median_seconds

pytestmark = pytest.mark.bench
DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
POINTS = 200


def floor(curves: int) -> float:
    """As many air and spring curves as the assessment draws forks, 200 points each, in one call."""
    rng = np.random.default_rng(1)
    stroke = np.linspace(0.0, 0.13, POINTS)
    air = rng.uniform(230e-6, 300e-6, (curves, 1))
    rate = rng.uniform(7e3, 11e3, (curves, 1))

    def force() -> np.ndarray:
        return 101325.0 * ((air / (air - 1.32e-3 * stroke)) ** 1.2 - 1.0) * 1.32e-3 + rate * (0.015 + stroke)

    return median_seconds(force, 5)


@pytest.mark.parametrize("name", ["01-wall-after-the-oil-change", "05-hardly-anything-known"])
def test_an_assessment_costs_little_more_than_its_curves(name, benchmark, report):
    case = parse_case(json.loads((DEMO / f"{name}.json").read_text()))
    benchmark.pedantic(lambda: analyse(case, np.random.default_rng(1)), rounds=5, warmup_rounds=1)
    found = benchmark.stats.stats.median
    report(f"assessment of {name}, as times its floor", found / floor(DRAWS * len(CAUSES)), 5, "x")
    report(f"assessment of {name}", found, 0.25, "s")
