"""Viscosity over temperature, index and blends against published values and a general open library."""
from __future__ import annotations

import numpy as np
import pytest
from chemicals.viscosity import viscosity_index as library_index
from hypothesis import given
from hypothesis import strategies as st

from analysis.viscosity import (
    CST,
    T_40,
    T_100,
    blend,
    damping_change,
    line_from_index,
    line_through,
    viscosity_100,
    viscosity_index,
)

ZERO_C = 273.15
thick, indices = st.floats(8, 200), st.floats(80, 350)


# Source: ASTM D2270, worked examples of §5.1.4 and §6.1.4 (read in a posted copy).
@pytest.mark.parametrize("nu_40, nu_100, index", [(73.30, 8.86, 92), (22.83, 5.05, 156)])
def test_the_standard_s_own_examples_of_the_index(nu_40, nu_100, index):
    assert round(float(viscosity_index(nu_40 * CST, nu_100 * CST))) == index


# Source: chemicals.viscosity.viscosity_index, a general open library with the standard's table, called here.
@given(nu_40=thick, share=st.floats(0, 1))
def test_the_index_agrees_with_the_library(nu_40, share):
    low, high = 2.2, min(nu_40 / 2, 69)
    nu_100 = low + share * (high - low)
    expected = library_index(nu_40 * CST, nu_100 * CST)
    if 0 <= expected <= 400:
        assert viscosity_index(nu_40 * CST, nu_100 * CST) == pytest.approx(expected, abs=1.0)


# Source: worked examples of ASTM D341 (read in posted copies), mm²/s.
@pytest.mark.parametrize("nu_1, c_1, nu_2, c_2, c, expected", [
    (404, 40, 28, 100, 60, 132.13), (68, 40, 14.85, 80, 100, 8.79)])
def test_published_points_between_and_beyond_two_others(nu_1, c_1, nu_2, c_2, c, expected):
    line = line_through(nu_1 * CST, c_1 + ZERO_C, nu_2 * CST, c_2 + ZERO_C)
    assert line.at(c + ZERO_C) / CST == pytest.approx(expected, abs=0.01)


# Arithmetic: the same two-point method worked by hand for fork oils, mm²/s at −5, 5, 15, 20, 40, 60 °C.
@pytest.mark.parametrize("nu_40, nu_100, expected", [
    (32, 6.0, (388, 191, 104, 79, 32, 16)), (46, 7.8, (634, 302, 159, 120, 46, 22)),
    (15, 3.6, (124.8, 68.1, 40.7, None, 15.0, 8.3))])
def test_fork_oils_from_frost_to_heat(nu_40, nu_100, expected):
    line = line_through(nu_40 * CST, T_40, nu_100 * CST, T_100)
    for celsius, value in zip((-5, 5, 15, 20, 40, 60), expected, strict=True):
        if value is not None:
            assert line.at(celsius + ZERO_C) / CST == pytest.approx(value, rel=0.007)


# Arithmetic, ASTM D7152 type: half and half of 15 and 46 mm²/s.
def test_a_blend_of_two_oils():
    assert blend(15 * CST, 46 * CST, 0.5) / CST == pytest.approx(25.18, abs=0.005)


@given(one=thick, other=thick, share=st.floats(0, 1))
def test_a_blend_lies_between_and_never_above_the_plain_mean(one, other, share):
    mixed = blend(one * CST, other * CST, share) / CST
    assert min(one, other) * (1 - 1e-9) <= mixed <= (share * one + (1 - share) * other) * (1 + 1e-9)
    assert mixed == pytest.approx(blend(other * CST, one * CST, 1 - share) / CST)


@given(nu_40=thick, index=indices)
def test_the_index_turned_round_gives_the_same_index(nu_40, index):
    nu_100 = viscosity_100(nu_40 * CST, index)
    if np.isfinite(nu_100):
        # The standard's quadratics do not quite meet, so an index may fall in a gap between two of them.
        assert viscosity_index(nu_40 * CST, nu_100) == pytest.approx(index, abs=1.5)


@given(nu_40=thick, index=indices, colder=st.floats(-20, 80), by=st.floats(0.1, 40))
def test_oil_thins_with_warmth(nu_40, index, colder, by):
    line = line_from_index(nu_40 * CST, index)
    cold, warm = line.at(colder + ZERO_C), line.at(colder + by + ZERO_C)
    if np.isfinite(warm):
        assert cold > warm


def test_a_higher_index_thins_less():
    change = [damping_change(line_from_index(15 * CST, index), T_40, 278.15) for index in (100, 200, 350)]
    assert change[0] > change[1] > change[2] > 1


def test_a_damper_at_five_degrees_against_forty():
    # Arithmetic: 191/32 is about six.  Half of it through holes: 3.5.
    line = line_through(32 * CST, T_40, 6.0 * CST, T_100)
    assert damping_change(line, T_40, 278.15) == pytest.approx(5.96, abs=0.02)
    assert damping_change(line, T_40, 278.15, 0.5) == pytest.approx(3.48, abs=0.01)
    assert damping_change(line, T_40, 278.15, 0.0) == 1


def test_arrays_and_scalars_agree():
    nus, hot = np.array([15.0, 32.0, 46.0]) * CST, np.array([3.6, 6.0, 7.8]) * CST
    lines = line_through(nus, T_40, hot, T_100)
    for i in range(3):
        one = line_through(float(nus[i]), T_40, float(hot[i]), T_100)
        assert isinstance(one.at(300.0), float)
        assert lines.at(300.0)[i] == pytest.approx(one.at(300.0))
        assert viscosity_index(nus, hot)[i] == pytest.approx(viscosity_index(float(nus[i]), float(hot[i])))
        assert viscosity_100(nus, np.full(3, 150.0))[i] == pytest.approx(viscosity_100(float(nus[i]), 150.0))


def test_what_is_not_defined_is_no_number():
    assert np.isnan(viscosity_index(3 * CST, 1.2 * CST))
    assert np.isnan(line_through(15 * CST, T_40, 16 * CST, T_100).at(300.0))
    assert np.isnan(line_through(15 * CST, T_40, 15 * CST, T_40).at(300.0))
    assert np.isnan(line_from_index(15 * CST, 120.0).at(600.0))
    assert np.isnan(blend(15 * CST, 46 * CST, 1.2))
    assert np.isnan(viscosity_100(15 * CST, 5000.0))
