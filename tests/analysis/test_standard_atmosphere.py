"""The air outside, against the standard and two general libraries."""
import ambiance
import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from hypothesis import given
from hypothesis import strategies as st

from analysis.atmosphere import HIGHEST, LOWEST, SEA_LEVEL, pressure_at


# Source: ISO 2533, Standard Atmosphere, table values (read in an excerpt).
@pytest.mark.parametrize("height, pressure", [(0, 101_325), (1000, 89_874.6), (2000, 79_495.2), (3000, 70_108.5)])
def test_the_values_of_the_standard(height, pressure):
    assert pressure_at(height) == pytest.approx(pressure, abs=0.06)


# Source: ambiance and fluids, general open libraries, called here; both take geometric height.
@pytest.mark.parametrize("height", [-400, 0, 500, 1000, 2500, 4000, 5600, 10_000])
def test_two_libraries_agree(height):
    radius = 6_356_766  # m; ISO 2533, turns geometric into geopotential height
    ours = pressure_at(radius * height / (radius + height))
    assert ours == pytest.approx(float(ambiance.Atmosphere(height).pressure[0]), rel=5e-7)
    assert ours == pytest.approx(ATMOSPHERE_1976(height).P, rel=2e-6)


@given(height=st.floats(LOWEST + 1, HIGHEST - 1))
def test_pressure_falls_with_height_by_the_weight_of_the_air(height):
    """Second way: dp/dH = −ρ g with ρ = p/(R T)."""
    slope = pressure_at(height + 0.5) - pressure_at(height - 0.5)
    weight = pressure_at(height) / (287.05287 * (288.15 - 0.0065 * height)) * 9.80665
    assert slope == pytest.approx(-weight, rel=1e-7)


def test_arrays_and_scalars_agree():
    heights = np.array([0.0, 1500.0, 3000.0])
    np.testing.assert_allclose(pressure_at(heights), [pressure_at(float(height)) for height in heights], rtol=1e-15)
    assert pressure_at(0.0) == SEA_LEVEL


@pytest.mark.parametrize("height", [-2001, 11_001, np.array([0.0, 12_000.0])])
def test_a_height_outside_the_layer_is_refused_with_the_range(height):
    with pytest.raises(ValueError, match="between -2000 and 11000 m"):
        pressure_at(height)
