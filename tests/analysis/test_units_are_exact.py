"""Factors against the definitions: the 1959 yard and pound agreement (inch, pound), the 1901 CGPM (standard gravity),
the US gallon of 231 cubic inches and the UK gallon of 4.54609 litres (statute).  Kind: exact by definition.
"""
from __future__ import annotations

import math

import pytest

from analysis.units import from_si, to_si

INCH = 0.0254
POUND = 0.45359237
GRAVITY = 9.80665

DEFINED = [
    ("1 in", "mm", INCH),
    ('1"', "mm", INCH),
    ("1 ft", "m", 12 * INCH),
    ("1 lb", "kg", POUND),
    ("1 oz", "kg", POUND / 16),
    ("1 st", "kg", 14 * POUND),
    ("1 kgf", "N", GRAVITY),
    ("1 lbf", "N", POUND * GRAVITY),
    ("1 kgf/mm", "N/mm", GRAVITY * 1000),
    ("1 kg/mm", "N/mm", GRAVITY * 1000),
    ("1 lbf/in", "N/mm", POUND * GRAVITY / INCH),
    ("1 lb/in", "N/mm", POUND * GRAVITY / INCH),
    ("1 lbs/inch", "N/mm", POUND * GRAVITY / INCH),
    ("1 N/m", "N/mm", 1.0),
    ("1 psi", "bar", POUND * GRAVITY / INCH**2),
    ("1 kgf/cm²", "bar", GRAVITY * 1e4),
    ("1 atm", "bar", 101325.0),
    ("1 fl oz", "ml", 231 * INCH**3 / 128),
    ("1 imp fl oz", "ml", 4.54609e-3 / 160),
    ("1 in²", "mm**2", INCH**2),
    ("1 cu in", "ml", INCH**3),
    ("1 cc", "ml", 1e-6),
    ("180°", "degree", math.pi),
    ("0 °C", "degC", 273.15),
    ("-459.67 °F", "degC", 0.0),
    ("212 °F", "degC", 373.15),
    ("50 %", "", 0.5),
]


@pytest.mark.parametrize(("typed", "unit", "si"), DEFINED)
def test_a_unit_is_what_its_definition_says(typed: str, unit: str, si: float) -> None:
    assert to_si(typed, unit) == pytest.approx(si, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(("typed", "unit", "printed"), [
    ("1 lbf/in", "N/mm", 0.1751268352),
    ("1 kgf/mm", "N/mm", 9.80665),
    ("1 psi", "bar", 0.06894757293),
    ("1 fl oz", "ml", 29.5735295625),
    ("1 imp fl oz", "ml", 28.4130625),
])
def test_the_printed_factors_come_out_to_their_last_figure(typed: str, unit: str, printed: float) -> None:
    assert from_si(to_si(typed, unit), unit) == pytest.approx(printed, rel=3e-10)


def test_a_gauge_pressure_stays_a_gauge_pressure() -> None:
    assert to_si("0 psi", "bar") == 0.0
    assert to_si("12 psig", "bar") == to_si("12 psi", "bar")
