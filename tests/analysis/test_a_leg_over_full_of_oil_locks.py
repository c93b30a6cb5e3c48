"""How oil takes stroke: volumes, ratio and lock of a reference leg, and the way back from a stop that was felt.

The reference leg: sliding tube 41 mm, bore 36 mm, stroke 140 mm, level 140 mm, spring 5.0 mm wire on 30 mm, 29 coils,
18 ml of spacer and cap.  All values are arithmetic: they check the code, not the physics.
"""
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.air import (
    air_left_from_stop,
    circle_area,
    compressed_volume,
    compression_ratio,
    extended_volume,
    lock_stroke,
)
from analysis.spring import steel_volume
from tests.analysis.lone_forces import air_force

SEAL, GAS, STROKE = circle_area(0.041), circle_area(0.036), 0.140
steel = steel_volume(0.005, 0.030, 29)
air_left = compressed_volume(GAS, 0.140, steel, 18e-6)
ML = 1e-6


def extended(over_ml):
    return extended_volume(air_left - over_ml * ML, SEAL, STROKE)


def test_volumes_and_ratio_of_the_reference_leg():
    assert steel / ML == pytest.approx(53.7, abs=0.05)
    assert air_left / ML == pytest.approx(70.8, abs=0.05)
    assert extended(0) / ML == pytest.approx(255.7, abs=0.05)
    assert compression_ratio(air_left, extended(0)) == pytest.approx(3.61, abs=0.005)


@pytest.mark.parametrize("over, stroke", [(0, 193.7), (50, 155.8), (75, 136.8), (100, 117.9), (150, 80.0), (185, 53.5)])
def test_the_stroke_at_which_the_air_is_used_up(over, stroke):
    assert extended(over) / SEAL * 1e3 == pytest.approx(stroke, abs=0.06)
    locks = lock_stroke(air_left - over * ML, SEAL, STROKE)
    assert np.isnan(locks) if stroke > 140 else locks * 1e3 == pytest.approx(stroke, abs=0.06)


@pytest.mark.parametrize("over, stroke, slow, riding", [
    (0, 40, 35, 43), (0, 80, 94, 120), (0, 100, 143, 186), (0, 120, 218, 293), (0, 140, 349, 490),
    (26, 40, 40, 49), (26, 120, 297, 411), (26, 140, 551, 816), (50, 100, 240, 325), (50, 140, 1187, 1954),
    (75, 40, 55, 69), (75, 120, 953, 1518), (75, 140, None, None), (100, 80, 282, 388), (100, 100, 747, 1150),
    (100, 120, None, None),
])
def test_the_air_force_of_one_leg_by_over_fill_and_stroke(over, stroke, slow, riding):
    forces = air_force(SEAL, extended(over), stroke / 1e3, np.array([1.0, 1.2]))
    if slow is None:
        assert np.all(np.isposinf(forces))
    else:
        # Over-filled and near the lock a rounded input moves the force by up to 0.2 %.
        np.testing.assert_allclose(forces, [slow, riding], rtol=2e-3, atol=0.6)


@pytest.mark.parametrize("tube, area, lost, at_four, bore, per_mm, per_10_ml", [
    (33, 8.553, 116.9, 87.7, 28, 0.616, 16.2), (35, 9.621, 103.9, 78.0, 30, 0.707, 14.1),
    (37, 10.752, 93.0, 69.8, 32, 0.804, 12.4), (39, 11.946, 83.7, 62.8, 34, 0.908, 11.0),
    (41, 13.203, 75.7, 56.8, 36, 1.018, 9.8), (43, 14.522, 68.9, 51.6, 39, 1.195, 8.4),
    (45, 15.904, 62.9, 47.2, 41, 1.320, 7.6), (47, 17.349, 57.6, 43.2, 42.5, 1.419, 7.0),
    (48, 18.096, 55.3, 41.4, 43.5, 1.486, 6.7), (49, 18.857, 53.0, 39.8, 44, 1.521, 6.6),
    (50, 19.635, 50.9, 38.2, 45, 1.590, 6.3),
])
def test_the_stroke_that_100_ml_too_much_takes(tube, area, lost, at_four, bore, per_mm, per_10_ml):
    seal, gas = circle_area(tube / 1e3), circle_area(bore / 1e3)
    assert seal * 1e4 == pytest.approx(area, abs=6e-4)
    locks = lock_stroke(np.array([-100 * ML, 0.0]), seal, 0.2)
    assert (locks[1] - locks[0]) * 1e3 == pytest.approx(lost, abs=0.06)
    assert 0.75 * 100 * ML / seal * 1e3 == pytest.approx(at_four, abs=0.06)
    assert gas * 1e-3 / ML == pytest.approx(per_mm, abs=6e-4)
    assert 10 * ML / gas * 1e3 == pytest.approx(per_10_ml, abs=0.06)


volumes = st.floats(-150e-6, 0.0)


@given(air=volumes, less=st.floats(0, 100e-6), seal=st.floats(5e-4, 2.5e-3), stroke=st.floats(0.06, 0.35))
def test_more_oil_never_locks_later_and_the_lock_never_passes_full_stroke(air, less, seal, stroke):
    assert lock_stroke(air - less, seal, stroke) <= lock_stroke(air, seal, stroke) <= stroke


@given(air=volumes, seal=st.floats(5e-4, 2.5e-3), stroke=st.floats(0.06, 0.35))
def test_a_stop_that_was_felt_gives_back_the_air_that_makes_it(air, seal, stroke):
    stop = lock_stroke(air, seal, stroke)
    assert air_left_from_stop(seal, stop, stroke) == pytest.approx(air, abs=1e-15)


@given(load=st.floats(300, 3000), over=st.floats(0, 150), more=st.floats(0, 30))
def test_more_oil_never_gives_more_stroke_under_a_load(load, over, more):
    strokes = np.linspace(0, STROKE, 500)
    carried = [air_force(SEAL, extended(amount), strokes, 1.2) for amount in (over, over + more)]
    reached = [np.count_nonzero(forces < load) for forces in carried]
    assert reached[1] <= reached[0]


def test_no_air_has_no_ratio_and_air_has_no_lock():
    assert np.isnan(compression_ratio(0.0, 1e-4)) and np.isnan(compression_ratio(-1e-6, 1e-4))
    assert lock_stroke(0.0, SEAL, STROKE) == STROKE
    assert np.isnan(lock_stroke(1e-9, SEAL, STROKE))
    np.testing.assert_array_equal(
        np.isnan(compression_ratio(np.array([-1e-6, 1e-6]), np.array([1e-4, 1e-4]))), [True, False])
