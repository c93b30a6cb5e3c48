"""Trail, and how it changes when the fork dips or the rear sinks."""
import warnings
from math import degrees, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.chassis import normal_trail, pitch, rake_after, trail, wheelbase_after

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # the library warns about its own optional parts when it is imported
    from bicycleparameters import geometry

rakes = st.floats(0.1, 0.6)


# Source: bicycleparameters.geometry.trail, a general open library, called here.
@pytest.mark.parametrize("radius, rake, offset, expected", [
    (0.300, 24, 0.030, 0.100730), (0.300, 25, 0.030, 0.106791), (0.300, 23, 0.030, 0.094752),
    (0.350, 18, 0.0320714, 0.080000),  # Meijaard, Papadopoulos, Ruina, Schwab 2007, benchmark bicycle
])
def test_trail_and_normal_trail_of_published_front_ends(radius, rake, offset, expected):
    library, library_normal = geometry.trail(radius, radians(rake), offset)
    assert trail(radius, radians(rake), offset) == pytest.approx(library, rel=1e-12)
    assert normal_trail(radius, radians(rake), offset) == pytest.approx(library_normal, rel=1e-12)
    assert trail(radius, radians(rake), offset) == pytest.approx(expected, abs=6e-7)


# Source: Sharp 1994, motorcycle data (read in a posted copy): rake 0.47 rad, normal trail 0.094 m, ground trail
# 0.10543 m.
def test_ground_trail_of_a_published_motorcycle():
    offset = 0.3 * np.sin(0.47) - 0.094
    assert trail(0.3, 0.47, offset) == pytest.approx(0.10543, abs=5e-6)


# Arithmetic: 30 mm of stroke, wheelbase 1400 mm, rake 24°, radius 300 mm, offset 30 mm, rear held.
def test_a_dip_of_the_fork_steepens_the_steering():
    rake = rake_after(radians(24), 1.400, 0.030)
    assert degrees(rake) == pytest.approx(22.869, abs=5e-4)
    assert trail(0.300, rake, 0.030) * 1e3 == pytest.approx(93.97, abs=5e-3)


@given(rake=rakes, base=st.floats(1.1, 1.8), stroke=st.floats(0, 0.15), drop=st.floats(0, 0.15))
def test_the_axles_end_level_again(rake, base, stroke, drop):
    """Second way: move the axles in the frame, turn the frame by the pitch, and see where they are."""
    moved = np.array([base - stroke * np.sin(rake), stroke * np.cos(rake) - drop])
    turn = pitch(rake, base, stroke, drop)
    level = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) @ moved
    assert level[1] == pytest.approx(0, abs=1e-12)
    assert level[0] == pytest.approx(wheelbase_after(rake, base, stroke, drop), rel=1e-12)


@given(rake=rakes, stroke=st.floats(0.001, 0.15))
def test_front_stroke_takes_trail_and_rear_sag_gives_it_back(rake, stroke):
    before = trail(0.3, rake, 0.03)
    assert trail(0.3, rake_after(rake, 1.4, stroke), 0.03) < before
    assert trail(0.3, rake_after(rake, 1.4, 0.0, stroke), 0.03) > before
    assert rake_after(rake, 1.4, stroke, stroke * np.cos(rake)) == pytest.approx(rake, abs=1e-12)


def test_an_untouched_bike_keeps_its_geometry_and_arrays_work():
    strokes = np.array([0.0, 0.03, 0.06])
    after = rake_after(radians(24), 1.4, strokes)
    assert after[0] == radians(24)
    np.testing.assert_allclose(after, [rake_after(radians(24), 1.4, float(stroke)) for stroke in strokes], rtol=1e-15)
