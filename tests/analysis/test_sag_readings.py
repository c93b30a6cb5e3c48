"""Sag from tape readings, friction from their gap, and what air does to the mean.  Values are arithmetic."""
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from analysis.air import circle_area
from analysis.sag import friction_between, readings_swapped, sag_from_readings
from tests.analysis.lone_forces import air_force, spring_force


def test_a_healthy_fork():
    sag = sag_from_readings(0.152, 0.110, 0.118, 0.001)
    assert sag.mean == pytest.approx(0.038)
    assert sag.half_band == pytest.approx(0.004)


def test_a_sticky_fork_with_the_same_sag():
    sag = sag_from_readings(0.152, 0.102, 0.130, 0.001)
    assert sag.mean == pytest.approx(0.036)
    assert sag.half_band == pytest.approx(0.014)


def test_a_straight_fork_gives_its_friction_back():
    deep, high = (700.0 + 60.0) / 18_000.0, (700.0 - 60.0) / 18_000.0
    sag = sag_from_readings(0.150, 0.150 - deep, 0.150 - high, 0.001)
    assert sag.mean * 1e3 == pytest.approx(38.889, abs=5e-4)
    assert sag.half_band * 18_000.0 == pytest.approx(60.0)
    assert friction_between(18_000.0 * deep, 18_000.0 * high) == pytest.approx(60.0)


def test_the_spread_is_that_of_many_readings():
    draw = np.random.default_rng(3)
    extended, below, above = (draw.normal(mean, 0.001, 100_000) for mean in (0.152, 0.110, 0.118))
    sag = sag_from_readings(0.152, 0.110, 0.118, 0.001)
    assert sag.sd == pytest.approx(np.std(extended - (below + above) / 2), rel=0.02)


@given(load=st.floats(300, 1400), friction=st.floats(0, 200), over=st.floats(0, 100))
def test_with_air_the_forces_at_both_readings_give_the_friction_exactly(load, friction, over):
    """The mean stroke falls short of the stroke without friction, because air stiffens; the forces do not."""
    area, room = circle_area(0.041), 255.7e-6 - over * 1e-6

    def force(x):
        return 2 * (air_force(area, room, x, 1.0) + spring_force(8_500.0, -0.001, x))

    deep, free, high = (brentq(lambda x, w=w: force(x) - w, 0, 0.999 * room / area, xtol=1e-14)
                        for w in (load + friction, load, load - friction))
    assert friction_between(force(deep), force(high)) == pytest.approx(friction, abs=1e-5)
    assert (deep + high) / 2 <= free + 1e-9


def test_readings_in_the_wrong_order_are_noticed_only_beyond_their_spread():
    assert readings_swapped(0.118, 0.110, 0.001)
    assert not readings_swapped(0.110, 0.118, 0.001)
    assert not readings_swapped(0.1105, 0.110, 0.001)
    # Arithmetic: the difference of two readings good to 1 mm is good to 1.41 mm, and twice that is 2.83 mm.
    assert readings_swapped(0.1129, 0.110, 0.001) and not readings_swapped(0.1127, 0.110, 0.001)
    assert sag_from_readings(0.152, 0.118, 0.110, 0.001) == sag_from_readings(0.152, 0.110, 0.118, 0.001)
