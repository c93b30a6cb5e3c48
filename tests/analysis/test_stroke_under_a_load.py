"""The stroke table of the reference fork, recomputed from its inputs, and the kernels behind it.

Kind of the table: arithmetic.  It follows from the stated leg and gas law, so it checks the code and not the physics.
Slow gas (n = 1.0) below 1500 N, riding gas (n = 1.2) above; both legs; no friction, no damping.
"""
from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from analysis.fork import Fork, fork_force, fork_stiffness, stroke_under
from analysis.leg import Parts
from tests.reference_fork import ATMOSPHERE, SEAL, STROKE, fork, leg

LOADS = np.array([735.0, 1055, 1100, 1700, 2400, 3500, 4500])
EXPONENTS = np.where(LOADS < 1500, 1.0, 1.2)

TABLE: list[tuple[dict[str, Any], list[float]]] = [
    ({}, [25.8, 42.6, 44.9, 73.0, 102.9, 137.3, 140]),
    ({"over_ml": 26}, [25.5, 42.0, 44.3, 71.2, 98.8, 128.3, 140]),
    ({"over_ml": 50}, [25.2, 41.4, 43.6, 69.0, 94.1, 118.7, 129.9]),
    ({"over_ml": 75}, [24.8, 40.5, 42.6, 66.0, 87.9, 107.4, 115.9]),
    ({"over_ml": 100}, [24.2, 39.2, 41.2, 62.1, 80.2, 94.9, 101.2]),
    ({"over_ml": 150}, [22.2, 34.9, 36.5, 49.9, 59.8, 67.1, 70.2]),
    ({"over_ml": 185}, [19.3, 28.8, 29.9, 36.9, 42.1, 45.8, 47.5]),
    ({"preload": 0.030}, [12.2, 29.3, 31.6, 61.0, 92.6, 130.8, 140]),
    ({"preload": 0.040}, [3.0, 20.2, 22.6, 52.7, 85.3, 126.0, 140]),
    ({"rate": 10_500.0}, [18.6, 32.7, 34.6, 59.0, 86.2, 122.2, 140]),
    ({"over_ml": -60}, [26.3, 43.6, 46.0, 75.9, 109.2, 140, 140]),
    ({"rate": 7000.0}, [33.5, 53.1, 55.8, 86.6, 117.2, 140, 140]),
]


@pytest.mark.parametrize(("change", "row"), TABLE, ids=lambda value: str(value) if isinstance(value, dict) else "")
def test_the_stroke_table_follows_from_its_inputs(change: dict[str, Any], row: list[float]) -> None:
    # 0.15 mm: the table was made with 18 ml "about" for spacer and cap and is rounded to 0.1 mm.
    np.testing.assert_allclose(stroke_under(fork(**change), LOADS, EXPONENTS) * 1e3, row, atol=0.15)


@pytest.mark.parametrize(("over", "stroke"), [(75, 136.8), (100, 117.9), (150, 80.0), (185, 53.5)])
def test_the_fork_locks_where_its_oil_is_solid(over: float, stroke: float) -> None:
    assert fork(over).lock * 1e3 == pytest.approx(stroke, abs=0.06)
    assert fork(over).end == fork(over).lock


@pytest.mark.parametrize("over", [-60, 0, 26, 50])
def test_a_fork_with_air_left_never_locks(over: float) -> None:
    assert fork(over).lock == np.inf and fork(over).end == STROKE


@pytest.mark.parametrize(("change", "at_push", "at_brake"), [
    ({}, 21.7, 25.8), ({"over_ml": 100}, 31.1, 50.4), ({"preload": 0.030}, 20.8, 23.9),
    ({"rate": 10_500.0}, 24.7, 27.1),
])
def test_local_stiffness_tells_what_one_stroke_cannot(change: dict[str, Any], at_push: float, at_brake: float) -> None:
    # Arithmetic, N/mm at 1700 N and at 2400 N, riding gas.
    loads = np.array([1700.0, 2400.0])
    found = fork_stiffness(fork(**change), stroke_under(fork(**change), loads, 1.2), 1.2)
    np.testing.assert_allclose(np.asarray(found) / 1e3, [at_push, at_brake], rtol=5e-3)


@pytest.mark.parametrize("over", [-60, 0, 60, 120, 185])
@pytest.mark.parametrize("load", [400.0, 900, 1700, 3300, 20_000])
def test_the_stroke_is_the_root_that_a_general_solver_finds(over: float, load: float) -> None:
    # scipy.optimize.brentq: a general library.
    found, end = fork(over), fork(over).end
    inside = end - 1e-9

    def gap(x: float) -> float:
        return float(fork_force(found, x, 1.2)) - load

    expected = 0.0 if gap(0.0) >= 0 else end if gap(inside) < 0 else brentq(gap, 0.0, inside, xtol=1e-12)
    assert stroke_under(found, load, 1.2) == pytest.approx(expected, abs=2e-6)


def test_a_stroke_for_thousands_is_the_stroke_of_each() -> None:
    rng = np.random.default_rng(4)
    over, rate = rng.uniform(-60, 185, 60), rng.uniform(6000, 11_000, 60)
    loads = rng.uniform(0, 6000, 60)
    together = stroke_under(fork(over, rate=rate), loads, 1.2)
    one_by_one = [stroke_under(fork(o, rate=r), load, 1.2) for o, r, load in zip(over, rate, loads, strict=True)]
    assert isinstance(one_by_one[0], float)
    np.testing.assert_allclose(together, one_by_one, atol=1e-9)


def test_one_locked_leg_locks_the_fork() -> None:
    mixed = Fork(leg(over_ml=100), leg())
    assert mixed.lock == fork(100).lock
    assert fork(100).lock - 1e-4 < float(stroke_under(mixed, 1e6, 1.2)) <= fork(100).lock
    assert fork_force(mixed, fork(100).lock, 1.2) == np.inf


def test_unlike_legs_carry_what_each_carries_alone() -> None:
    left, right = leg(over_ml=60, rate=0.0), leg(preload=0.03, rate=17_000.0)
    x = np.linspace(0, 0.1, 9)
    halves = [0.5 * np.asarray(fork_force(Fork(one, one), x, 1.2)) for one in (left, right)]
    np.testing.assert_allclose(fork_force(Fork(left, right), x, 1.2), sum(halves), rtol=1e-12)


def test_thinner_air_outside_pushes_the_fork_out() -> None:
    # Closed at sea level, ridden at 2000 m (ISO 2533: 79 495.2 Pa): 21.8 kPa on each seal.
    low, high = fork(), fork(ride_pressure=79_495.2)
    gain = np.asarray(fork_force(high, 0.03, 1.0)) - np.asarray(fork_force(low, 0.03, 1.0))
    assert gain == pytest.approx(2 * SEAL * (ATMOSPHERE - 79_495.2), rel=1e-12)
    assert stroke_under(high, 1055.0, 1.0) < stroke_under(low, 1055.0, 1.0)


def test_air_shut_in_at_a_height_pushes_less_at_sea_level() -> None:
    shut_in_high = fork(closed_pressure=79_495.2)
    assert stroke_under(shut_in_high, 1055.0, 1.0) > stroke_under(fork(), 1055.0, 1.0)


def test_gauge_pressure_carries_pressure_times_seal_area_at_the_top() -> None:
    pumped = fork(closed_pressure=ATMOSPHERE + 50_000.0)
    gain = np.asarray(fork_force(pumped, 0.0, 1.2)) - np.asarray(fork_force(fork(), 0.0, 1.2))
    assert gain == pytest.approx(2 * SEAL * 50_000.0, rel=1e-12)


def test_linear_fork_stands_where_the_sag_example_says() -> None:
    # Arithmetic: k 18 N/mm, 700 N along the fork, 60 N friction: 42.222 from below, 35.556 from above, mean 38.889.
    plain = Fork(*(leg(rate=9000.0, preload=0.0, air_compressed=1e6) for _ in range(2)))
    reached = np.asarray(stroke_under(plain, np.array([760.0, 640.0]), 1.0)) * 1e3
    np.testing.assert_allclose(reached, [42.222, 35.556], atol=1e-3)
    assert reached.mean() == pytest.approx(38.889, abs=1e-3)
    force = np.asarray(fork_force(plain, reached / 1e3, 1.0))
    assert (force[0] - force[1]) / 2 == pytest.approx(60.0, abs=1e-3)


def test_springs_with_corners_carry_exactly_the_load_at_the_stroke_that_is_found() -> None:
    draw, loads = np.random.default_rng(1), np.linspace(300, 6000, 400)
    for _ in range(60):
        parts = Parts(second_rate=draw.uniform(8e3, 5e4), changes_at=draw.uniform(0.0, STROKE),
                      bump=(draw.uniform(5e3, 2e5), draw.uniform(0.005, 0.05)),
                      top_out=(draw.uniform(1e3, 5e4), draw.uniform(0.005, 0.05)))
        one = leg(draw.uniform(-20, 60), parts=parts, preload=draw.uniform(0, 0.03))
        found = stroke_under(Fork(one, one), loads, 1.2)
        assert np.all((found >= 0) & (found <= Fork(one, one).end))
        inside = (found > 0) & (found < Fork(one, one).end)
        np.testing.assert_allclose(fork_force(Fork(one, one), found, 1.2)[inside], loads[inside], atol=0.05)


def test_a_fork_with_air_left_needs_no_search_between_brackets(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is what makes a thousand drawn forks quick."""
    monkeypatch.setattr("analysis.fork._between_brackets", None)
    for over in (-60, 0, 26):
        found = stroke_under(fork(over), LOADS[:5], EXPONENTS[:5])
        np.testing.assert_allclose(fork_force(fork(over), found, EXPONENTS[:5]), LOADS[:5], atol=0.01)
