"""Growth of oil with temperature, against the petroleum industry's correction."""
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.air import circle_area
from analysis.oil import OIL_GROWTH, expand, growth, warmed

celsius = st.floats(-20, 120).map(lambda t: t + 273.15)
densities = st.floats(820, 900)


# Source: API MPMS chapter 11.1, lubricating oils (read in a posted copy): 870 kg/m³, 20 to 60 °C: 1.0301.
def test_the_industry_correction_from_20_to_60_degrees():
    assert warmed(1.0, 293.15, 333.15, 870.0) == pytest.approx(1.0301, abs=5e-5)


# Source: a published worked figure (read): 0.0007 per K, 100 litres from 20 to 40 °C gain 1.4 litres.
def test_a_hundred_litres_gain_fourteen_hundred_millilitres():
    assert expand(0.1, 20.0, 7e-4) - 0.1 == pytest.approx(1.4e-3, rel=1e-12)


# Arithmetic: 0.00075 per K, 520 ml, 40 K warmer, on a 41 mm tube.
def test_a_hot_leg_loses_a_centimetre_of_stroke():
    gained = expand(520e-6, 40.0, 7.5e-4) - 520e-6
    assert gained * 1e6 == pytest.approx(15.6)
    assert gained / circle_area(0.041) * 1e3 == pytest.approx(11.8, abs=0.05)


@given(t=st.floats(-10, 50))
def test_the_straight_rule_stays_within_a_tenth_of_a_percent_of_the_correction(t):
    assert growth(860.0) == pytest.approx(OIL_GROWTH, rel=1e-3)
    assert expand(1.0, t - 20.0) == pytest.approx(warmed(1.0, 293.15, t + 273.15, 860.0), rel=1e-3)


@given(first=celsius, second=celsius, density=densities)
def test_there_and_back_again_is_the_same_volume(first, second, density):
    assert warmed(warmed(1.0, first, second, density), second, first, density) == pytest.approx(1.0, rel=1e-12)


@given(t=celsius, density=densities)
def test_oil_always_grows_and_its_slope_at_15_degrees_is_the_growth_rate(t, density):
    assert warmed(1.0, t, t + 1.0, density) > 1.0
    slope = (warmed(1.0, 288.15, 288.16, density) - warmed(1.0, 288.15, 288.14, density)) / 0.02
    assert slope == pytest.approx(growth(density), rel=1e-5)
