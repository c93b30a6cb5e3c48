"""A label gives a viscosity only where it names one; a W number is the maker's own."""
from __future__ import annotations

import pytest

from analysis.oil_label import grade_limits, grade_of, read_label
from analysis.viscosity import CST


# Source: ISO 3448 (read in a posted excerpt): the limits are 10 % either side.
@pytest.mark.parametrize("grade, low, high", [(15, 13.5, 16.5), (22, 19.8, 24.2), (32, 28.8, 35.2)])
def test_the_limits_of_a_grade(grade, low, high):
    assert grade_limits(grade) == pytest.approx((low * CST, high * CST))


@pytest.mark.parametrize("nu, grade", [(13.5, 15), (16.5, 15), (17.5, None), (19.8, 22), (2.2, 2), (46, 46)])
def test_the_grade_of_an_oil(nu, grade):
    assert grade_of(nu * CST) == grade


def test_there_is_no_grade_between_the_grades():
    assert grade_limits(12) is None
    assert "the grades near it are 10 and 15. Check" in read_label("ISO VG 12").words


# "Weights" on fork-oil bottles are no standard (from memory).
@pytest.mark.parametrize("label", ["10W", "fork oil 5 W", "SAE 10W-30", "7.5wt", "15 weight", "2,5W", "SAE 20"])
def test_a_weight_is_no_viscosity(label):
    read = read_label(label)
    assert read.nu_40 is None and read.text == label
    assert "not a viscosity" in read.words and "mm²/s" in read.words


@pytest.mark.parametrize("label, nu", [
    ("16,4 cSt @ 40 °C", 16.4), ("10W, 31.5 mm²/s at 40°C", 31.5), ("15 cSt", 15), ("ISO VG 32", 32), ("vg-22 oil", 22),
    ("Viscosity 6.1 cSt at 100 °C, ISO VG 32", 32)])
def test_a_number_in_mm2_a_second_or_a_grade_is_one(label, nu):
    assert read_label(label).nu_40 == pytest.approx(nu * CST)


@pytest.mark.parametrize("label", ["fork oil medium", "6.1 cSt at 100 °C", "a" * 5000, "№ 7"])
def test_anything_else_names_none(label):
    assert read_label(label).nu_40 is None
