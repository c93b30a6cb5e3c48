"""What is no quantity is refused with a way on, and is never evaluated."""
from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.unit_names import WANTED
from analysis.units import UnitProblem, to_si


@pytest.mark.parametrize("typed", [
    "", "   ", "mm", "nan", "NaN mm", "inf", "-infinity", "1e9999", "1e999 mm", "10**10**10", "5 mm * 3", "5*3",
    "5+3 mm",
    "(" * 50 + "1", "((1)) mm", "__import__('os')", "5 mm; 3", "٣ mm", "３ mm", "²", "😀", "5 😀", "5 furlong",
    "110-120 mm",
    "~110 mm", "1,25,000 mm", "1..2", "5/0", "1/2/3", "9" * 30, "9" * 5000, "5 mm mm", "12 12", "0x10", "1_000", "5e",
])
def test_a_text_that_is_no_length_is_refused(typed: str) -> None:
    with pytest.raises(UnitProblem) as refusal:
        to_si(typed, "mm")
    assert refusal.value.problem and refusal.value.mend.endswith(".")


@pytest.mark.parametrize("value", [True, False, None, [], {}, float("nan"), float("inf"), -float("inf"), 10**400, 1e13])
def test_a_value_that_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(UnitProblem):
        to_si(value, "mm")  # type: ignore[arg-type]


@pytest.mark.parametrize(("typed", "unit"), [
    ("1 lb 3 oz", "kg"), ("13 st 5 lb", "kg"), ("6'2\"", "mm"), ("6 ft 2 in", "mm"), ("1 lb3oz", "kg"),
])
def test_two_units_in_one_are_refused_by_name(typed: str, unit: str) -> None:
    with pytest.raises(UnitProblem, match="two numbers with two units.*one number with one unit"):
        to_si(typed, unit)


@pytest.mark.parametrize(("typed", "unit", "words"), [
    ("75 kg", "mm", "kg is a mass; a length is wanted, for example 110 mm"),
    ("5 mm", "kg", "mm is a length; a mass is wanted"),
    ("0.95 kg", "N/mm", "kgf/mm"),
    ("7 kg", "N", "kgf"),
    ("16 oz", "ml", "imp fl oz"),
    ("30 psia", "bar", "an absolute pressure; a gauge pressure is wanted"),
    ("5 %", "mm", "% is a share"),
    ("24 °C", "degree", "temperature; an angle is wanted"),
    ("3 milimeters", "mm", 'Did you mean "millimeters"'),
])
def test_a_unit_of_another_kind_is_refused_with_what_is_wanted(typed: str, unit: str, words: str) -> None:
    with pytest.raises(UnitProblem) as refusal:
        to_si(typed, unit)
    assert words in str(refusal.value)


@given(st.text(max_size=80), st.sampled_from(sorted(WANTED)))
def test_any_text_gives_a_finite_number_or_a_refusal(text: str, unit: str) -> None:
    try:
        value = to_si(text, unit)
    except UnitProblem:
        return
    assert abs(value) < 1e25
