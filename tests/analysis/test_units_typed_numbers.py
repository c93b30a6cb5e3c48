"""Numbers as people type them."""
from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.units import UnitProblem, format_quantity, from_si, read_quantity, to_si


@pytest.mark.parametrize(("typed", "millimetres"), [
    (110, 110), (4.5, 4.5), ("110", 110), ("110 mm", 110), ("110mm", 110), (" 110  MM ", 110), ("+3", 3), ("-3", -3),
    ("−3", -3), ("1,25", 1.25), ("0,950", 0.95), (".5", 0.5), ("5.", 5), ("1e2", 100),
    ("1,250.5", 1250.5), ("1.250,5", 1250.5), ("1,250,000", 1_250_000), ("1.250.000", 1_250_000),
    ("1 250", 1250), ("1\u00a0250,5 mm", 1250.5), ("1250,500", 1250.5),
    ("1/2 in", 12.7), ("4 1/4 in", 107.95), ("4-1/4\"", 107.95), ("2½ in", 63.5), ("½ in", 12.7),
    ("4.3″", 109.22), ("4.3''", 109.22), ("4.3 inches", 109.22), ("4.3 in.", 109.22), ("\u200e110 mm", 110),
])
def test_a_typed_length_is_understood(typed: str | float, millimetres: float) -> None:
    assert from_si(to_si(typed, "mm"), "mm") == pytest.approx(millimetres, rel=1e-12)


@pytest.mark.parametrize(("typed", "unit", "value"), [
    ("5,5 Zoll", "mm", 139.7), ("5,5 pulgadas", "mm", 139.7), ("1 Fuß", "mm", 304.8), ("14 Zentimeter", "mm", 140),
    ("14 centímetros", "mm", 140), ("0,5 litros", "ml", 500), ("82,5 Kilogramm", "kg", 82.5),
    ("190 libras", "kg", 86.18255), ("24,5 Grad", "degree", 24.5), ("24,5 grados", "degree", 24.5),
    ("20 Grad Celsius", "degC", 20), ("0,4 Sekunden", "s", 0.4), ("0,4 segundos", "s", 0.4),
])
def test_german_and_spanish_words_for_units_are_understood(typed: str, unit: str, value: float) -> None:
    assert from_si(to_si(typed, unit), unit) == pytest.approx(value, rel=1e-6)


def test_a_word_that_means_two_units_is_refused() -> None:
    """A "Pfund" is half a kilogram at the market and 454 g on a scale."""
    with pytest.raises(UnitProblem):
        to_si("180 Pfund", "kg")


def test_a_lone_separator_before_three_digits_keeps_both_readings() -> None:
    comma, point = read_quantity("1,250 mm", "mm"), read_quantity("1.250 mm", "mm")
    assert (comma.si, comma.other) == (pytest.approx(1.25), pytest.approx(0.00125))
    assert (point.si, point.other) == (pytest.approx(0.00125), pytest.approx(1.25))


@pytest.mark.parametrize("typed", ["0,950", "1,25", "1,250.0", "1250", "1 250", "12,3456"])
def test_a_clear_number_has_one_reading(typed: str) -> None:
    assert read_quantity(typed, "mm").other is None


@given(st.floats(-9999, 9999).map(lambda number: round(number, 4)))
def test_comma_and_point_mean_the_same(number: float) -> None:
    text = f"{number:.4f}"
    assert to_si(text, "mm") == to_si(text.replace(".", ","), "mm") == pytest.approx(number / 1000, rel=1e-12)


@given(st.floats(1e-3, 1e5), st.sampled_from(["mm", "N/mm", "ml", "kg", "bar", "degree", "s", "N", "mm**2", "m", ""]))
def test_what_is_shown_can_be_typed_again(si_in_unit: float, unit: str) -> None:
    si = to_si(si_in_unit, unit)
    assert to_si(format_quantity(si, unit, 9), unit) == pytest.approx(si, abs=to_si(1e-9, unit))


@pytest.mark.parametrize(("value", "unit", "digits", "shown"), [
    (0.11, "mm", None, "110 mm"), (0.10922, "mm", None, "109.2 mm"), (0.10922, "mm", 0, "109 mm"),
    (0.0, "mm", None, "0 mm"), (-1e-12, "mm", 1, "0.0 mm"), (9316.3175, "N/mm", None, "9.316 N/mm"),
    (0.49, "", None, "0.49"), (293.15, "degC", None, "20 °C"), (0.418879, "degree", None, "24°"),
    (1.2346, "m", None, "1.235 m"), (1.23456e-7, "m", None, "0 m"), (1.23456e-5, "m", None, "0.000012 m"),
    (0.0009999999, "mm", None, "1 mm"), (2060.4, "N", None, "2060 N"),
])
def test_a_quantity_is_shown_short(value: float, unit: str, digits: int | None, shown: str) -> None:
    assert format_quantity(value, unit, digits) == shown
