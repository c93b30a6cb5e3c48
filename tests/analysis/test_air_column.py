"""The trapped air against real air, against its own energy, and up to where there is none left."""
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from analysis.air import N_SLOW, air_pressure, air_volume, circle_area
from tests.analysis.lone_forces import air_force, air_stiffness

SEA, WARM, NO_HEAT_LOST = 101_325.0, 293.15, 1.4
RHO = PropsSI("D", "T", WARM, "P", SEA, "Air")
ENTROPY = PropsSI("S", "T", WARM, "P", SEA, "Air")
AREA, COLUMN = circle_area(0.043), 0.120

shares = st.floats(0.0, 0.98)
exponents = st.floats(1.0, 1.4)
columns = st.floats(0.05, 0.4)


# Source: CoolProp, fluid Air (general open library, called here); real air, isentropic from 1 atm and 20 °C.
@pytest.mark.parametrize("ratio, within", [(1.5, 0.001), (2, 0.001), (3, 0.001), (5, 0.005), (10, 0.016)])
def test_a_fast_stroke_follows_real_air_without_heat_loss(ratio, within):
    real = PropsSI("P", "D", ratio * RHO, "S", ENTROPY, "Air")
    assert air_pressure(SEA, 1.0, 1.0 / ratio, NO_HEAT_LOST) == pytest.approx(real, rel=within)


# Source: CoolProp, fluid Air; isothermal at 20 °C.
@pytest.mark.parametrize("ratio", [1.5, 2, 3, 5, 10])
def test_a_slow_stroke_follows_real_air_at_one_temperature(ratio):
    real = PropsSI("P", "D", ratio * RHO, "T", WARM, "Air")
    assert air_pressure(SEA, 1.0, 1.0 / ratio, N_SLOW) == pytest.approx(real, rel=0.004)


# Source: CoolProp, fluid Air; a stroke that keeps any part of its heat ends between the two temperatures.
@pytest.mark.parametrize("ratio", [1.5, 3, 5, 10])
@pytest.mark.parametrize("kept", [0.2, 0.5, 0.8])
def test_real_air_lies_inside_the_band_of_the_two_exponents(ratio, kept):
    hottest = PropsSI("T", "D", ratio * RHO, "S", ENTROPY, "Air")
    real = PropsSI("P", "D", ratio * RHO, "T", WARM + kept * (hottest - WARM), "Air")
    assert air_pressure(SEA, 1.0, 1 / ratio, N_SLOW) < real < air_pressure(SEA, 1.0, 1 / ratio, NO_HEAT_LOST)


# Source: CoolProp, fluid Air: 241.33 N and 875.39 N for a 43 mm column of 120 mm.
@pytest.mark.parametrize("stroke, ideal", [(0.060, 241.17), (0.090, 877.63)])
def test_the_force_of_a_43_mm_column(stroke, ideal):
    force = air_force(AREA, AREA * COLUMN, stroke, 1.4)
    real = (PropsSI("P", "D", RHO * COLUMN / (COLUMN - stroke), "S", ENTROPY, "Air") - SEA) * AREA
    assert force == pytest.approx(ideal, abs=0.01)
    assert force == pytest.approx(real, rel=0.003)


# Source: CoolProp, fluid Air: work without heat is the gain of internal energy.
@pytest.mark.parametrize("stroke", [0.040, 0.080, 0.090])
def test_the_work_of_a_fast_stroke_is_what_real_air_stores(stroke):
    work, _ = quad(lambda x: air_force(AREA, AREA * COLUMN, x, 1.4, ride=0.0), 0, stroke)
    dense = RHO * COLUMN / (COLUMN - stroke)
    stored = PropsSI("U", "D", dense, "S", ENTROPY, "Air") - PropsSI("U", "T", WARM, "P", SEA, "Air")
    assert work == pytest.approx(RHO * AREA * COLUMN * stored, rel=0.003)


# Arithmetic: integral of p_e (V_e/V)ⁿ.
@given(share=shares, n=st.floats(1.01, 1.4), column=columns)
def test_the_force_integrates_to_the_closed_form_of_the_energy(share, n, column):
    v_e, x = AREA * column, share * column
    work, _ = quad(lambda at: air_force(AREA, v_e, at, n, ride=80e3), 0, x, epsabs=1e-10, epsrel=1e-10)
    closed = SEA * v_e * ((1 - share) ** (1 - n) - 1) / (n - 1) - 80e3 * AREA * x
    assert work == pytest.approx(closed, rel=1e-7, abs=1e-8)


@given(share=shares, n=exponents, column=columns)
def test_the_stiffness_is_the_slope_of_the_force(share, n, column):
    v_e, x = AREA * column, share * column
    step = 1e-5 * (column - x)
    ahead, behind = (air_force(AREA, v_e, at, n) for at in (x + step, x - step))
    assert air_stiffness(AREA, v_e, x, n) == pytest.approx((ahead - behind) / (2 * step), rel=1e-6)


@given(share=shares, more=st.floats(1e-4, 0.9), n=exponents, column=columns)
def test_the_force_is_finite_and_rises_with_stroke_up_to_the_lock(share, more, n, column):
    v_e, x = AREA * column, share * column
    deeper = x + more * (0.99 * column - x)
    forces = [air_force(AREA, v_e, at, n) for at in (x, deeper)]
    assert np.all(np.isfinite(forces))
    assert forces[1] > forces[0] >= 0


@given(share=shares, n=st.floats(1.0, 1.39), column=columns)
def test_a_higher_exponent_and_a_smaller_column_never_push_less(share, n, column):
    x = share * column
    force = air_force(AREA, AREA * column, x, n)
    assert air_force(AREA, AREA * column, x, n + 0.01) >= force
    assert air_force(AREA, AREA * (0.99 * column + 0.01 * x), x, n) >= force


@pytest.mark.parametrize("beyond", [0.0, 1e-9, 0.01, 0.5])
def test_at_and_beyond_the_lock_no_load_moves_the_leg(beyond):
    v_e = AREA * COLUMN
    assert air_force(AREA, v_e, COLUMN + beyond, 1.2) == np.inf
    assert air_stiffness(AREA, v_e, COLUMN + beyond, 1.2) == np.inf
    assert np.isnan(air_pressure(SEA, v_e, air_volume(v_e, AREA, COLUMN + beyond), 1.2))


def test_a_leg_full_of_oil_when_extended_has_no_pressure_to_name():
    assert np.isnan(air_pressure(SEA, -1e-6, 1e-6, 1.2))


def test_arrays_and_scalars_agree_and_broadcast():
    strokes, n = np.array([0.0, 0.04, 0.119, 0.12, 0.2]), np.array([[1.0], [1.2], [1.4]])
    v_e = AREA * COLUMN
    for function in (lambda x, e: air_force(AREA, v_e, x, e, ride=90e3),
                     lambda x, e: air_stiffness(AREA, v_e, x, e)):
        table = function(strokes, n)
        single = [[function(float(x), float(e)) for x in strokes] for e in n[:, 0]]
        assert table.shape == (3, 5)
        assert isinstance(single[0][0], float)
        np.testing.assert_allclose(table, single, rtol=1e-14)


def test_thin_mountain_air_outside_lets_the_same_column_push_harder():
    low, high = (air_force(AREA, AREA * COLUMN, 0.0, 1.2, ride=outside) for outside in (SEA, 74_680.0))
    assert low == 0
    assert high == pytest.approx((SEA - 74_680.0) * AREA)
