"""Benchmarks say what they found against a floor taken in the same run, and whether that reaches what is aimed at."""
from __future__ import annotations

import os
import statistics
import time
from collections.abc import Callable
from typing import Any

import pytest

for variable in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(variable, "1")  # as in every process of an installation; children of a bench have it too
LINES: list[str] = []


def median_seconds(call: Callable[[], Any], times: int) -> float:
    """The middle of several runs, after one to warm up."""
    call()
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


@pytest.fixture
def report() -> Callable[[str, float, float, str], None]:
    """Print one figure; fail where it misses what is aimed at by so much that no busy machine explains it."""
    def add(what: str, found: float, aim: float, unit: str) -> None:
        LINES.append(f"{what:<66} {found:8.2f} {unit:<8} aim {aim:g}: {'reached' if found <= aim else 'NOT reached'}")
        assert found <= SLACK.get(unit, 3.0) * aim, f"{what}: {found:.2f} {unit}, aimed at {aim:g}"
    return add


SLACK = {"x": 3.0, "s": 20.0, "points": 2.0, "MB": 1.0}
"""A ratio carries the machine in its floor, bare seconds do not.  What odds are held against has its own error too."""


def pytest_terminal_summary(terminalreporter: Any) -> None:
    if LINES:
        terminalreporter.section("figures")
        for line in LINES:
            terminalreporter.write_line(line)
