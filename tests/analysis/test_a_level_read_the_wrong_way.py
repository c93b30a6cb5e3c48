"""A level read with the leg long or with the spring in, put as if read the standard way."""
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.air import circle_area, compressed_volume, extended_volume
from analysis.oil import excess_from_level, level_volume, standard_level

SEAL, GAS, STROKE = circle_area(0.041), circle_area(0.036), 0.140
STEEL, CAP = 53.7e-6, 18e-6


def read(level, condition, **changed):
    numbers = {"gas_area": GAS, "seal_area": SEAL, "stroke": STROKE, "steel_volume": STEEL, **changed}
    return standard_level(level, condition, **numbers)


def test_the_standard_way_is_left_as_it_is():
    assert read(0.140, "compressed spring out") == (0.140, 0.0)
    assert read(0.140, "compressed spring out", gas_area=None, seal_area=None, stroke=None, steel_volume=None)


# Arithmetic: the level of the papers, set with the leg long, is some 185 ml too much; it stops dead after 54 mm.
def test_a_level_set_with_the_leg_extended_is_a_wall_at_a_third_of_the_stroke():
    level, _ = read(0.140, "extended spring out")
    extended = extended_volume(compressed_volume(GAS, level, STEEL, CAP), SEAL, STROKE)
    assert extended * 1e6 == pytest.approx(70.8, abs=0.05)
    assert extended / SEAL * 1e3 == pytest.approx(53.6, abs=0.05)
    assert excess_from_level(GAS, level, 0.140) * 1e6 == pytest.approx(185, abs=0.5)


diameters = st.floats(0.025, 0.06)


@given(level=st.floats(0.05, 0.4), seal=diameters, bore=diameters, stroke=st.floats(0.06, 0.3))
def test_the_space_above_the_oil_shrinks_by_what_the_sliding_tube_takes(level, seal, bore, stroke):
    """Second way: the leg long holds ``A_g h`` above the oil; pushed together it holds that less ``A_s S``."""
    seal, gas = circle_area(seal), circle_area(bore)
    together, _ = read(level, "extended spring out", gas_area=gas, seal_area=seal, stroke=stroke)
    assert level_volume(gas, level) - seal * stroke == pytest.approx(level_volume(gas, together), abs=1e-12)


# Common practice, no source: three quarters of the spring's steel stand below the oil.  40 ml, 40 mm on a 36 mm bore.
def test_a_level_set_with_the_spring_in_is_too_little_oil():
    level, sd = read(0.140, "compressed spring in")
    assert excess_from_level(GAS, level, 0.140) * 1e6 == pytest.approx(-40, abs=0.5)
    assert (level - 0.140) * 1e3 == pytest.approx(40, abs=0.6)
    assert sd * GAS / STEEL == pytest.approx(0.15)


@pytest.mark.parametrize("condition, missing", [
    ("not sure", "stroke"), ("extended spring out", "stroke"), ("extended spring out", "seal_area"),
    ("extended spring out", "gas_area"), ("compressed spring in", "steel_volume"), ("compressed spring in", "gas_area"),
])
def test_a_reading_that_cannot_be_translated_says_nothing(condition, missing):
    assert read(0.140, condition, **{missing: None}) is None


def test_a_condition_that_does_not_exist_is_refused_with_those_that_do():
    with pytest.raises(ValueError, match="compressed spring out, compressed spring in"):
        read(0.140, "half way")


# Arithmetic: five millimetres of level are 5.1 ml and 3.9 mm of stroke on this leg.
def test_what_a_level_error_is_worth():
    wrong = excess_from_level(GAS, 0.135, 0.140)
    assert wrong * 1e6 == pytest.approx(5.1, abs=0.05)
    assert wrong / SEAL * 1e3 == pytest.approx(3.9, abs=0.05)
