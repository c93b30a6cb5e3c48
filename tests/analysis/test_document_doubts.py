"""Unusual but possible is accepted and asked back, with the likely slip of units."""
from __future__ import annotations

from typing import Any

import pytest

from analysis.document import doubts_of, faults_of, parse_case


def asked(document: dict[str, Any]) -> str:
    (doubt,) = parse_case(document).doubts
    return f"{doubt.path}: {doubt.question}"


def test_a_level_in_inches_without_its_unit_is_asked_back_converted() -> None:
    question = asked({"fork": {"left": {"oil_level_mm": 4.3}}})
    assert question.startswith("fork.left.oil_level_mm: 4.3 mm is unusual")
    assert "4.3 in? That would be 109.2 mm." in question


@pytest.mark.parametrize(("document", "words"), [
    ({"fork": {"left": {"spring": {"rate_n_per_mm": 52}}}}, "52 lbf/in? That would be 9.107 N/mm"),
    ({"fork": {"left": {"spring": {"rate_n_per_mm": 0.95}}}}, "0.95 kgf/mm? That would be 9.316 N/mm"),
    ({"rider": {"mass_kg": 190}}, "190 lb? That would be 86.18 kg"),
    ({"fork": {"left": {"gauge_pressure_bar": 12}}}, "12 psi? That would be 0.8274 bar"),
    ({"use": {"temperature_c": 59}}, "59 °F? That would be 15 °C"),
    ({"fork": {"left": {"oil_volume_ml": 16}}}, "16 fl oz? That would be 473.2 ml"),
])
def test_the_likely_unit_is_named(document: dict[str, Any], words: str) -> None:
    assert words in asked(document)


@pytest.mark.parametrize(("document", "words"), [
    ({"tyres": {"pressure_front_bar": 32}}, "32 psi? That would be 2.206 bar"),
    ({"fork": {"travel_mm": 5.5}}, "5.5 in? That would be 139.7 mm"),
    ({"bike": {"front_share": 49}}, "Did you mean 49 %?"),
])
def test_it_is_named_too_where_the_value_is_refused(document: dict[str, Any], words: str) -> None:
    (fault,) = faults_of(document)
    assert words in fault.mend


def test_an_unusual_value_without_a_likely_slip_is_only_asked_back() -> None:
    assert asked({"bike": {"wheelbase_mm": 700}}).endswith("700 mm is unusual (1100 to 1800 mm is usual). Is it right?")


def test_a_usual_value_is_not_asked_back() -> None:
    assert parse_case({"bike": {"mass_kg": "440 lb"}, "fork": {"travel_mm": "5.5 in"}}).doubts == ()


@pytest.mark.parametrize(("typed", "metres"), [
    ("1,250", 1.25), ("1,250 mm", 1.25), ("1.250 mm", 1.25), ("1.250 m", 1.25),
])
def test_three_digits_after_a_lone_separator_are_read_as_what_fits(typed: str, metres: float) -> None:
    assert parse_case({"bike": {"wheelbase_mm": typed}}).value("bike.wheelbase_mm") == pytest.approx(metres)


def test_a_rate_with_three_decimals_is_no_thousand() -> None:
    case = parse_case({"fork": {"left": {"spring": {"rate_n_per_mm": "0,950 kgf/mm"}},
                                "right": {"spring": {"rate_n_per_mm": "1,050 kgf/mm"}}}})
    assert case.value("fork.left.spring.rate_n_per_mm") == pytest.approx(9316.3175)
    assert case.value("fork.right.spring.rate_n_per_mm") == pytest.approx(10296.9825)


def test_where_both_readings_fit_the_reading_is_asked_back() -> None:
    # 1000 m and 1 m are both usual heights above the sea.
    case = parse_case({"use": {"altitude_m": "1,000"}})
    assert case.value("use.altitude_m") == 1000
    assert "read as 1000 m" in case.doubts[0].question


def test_both_legs_volume_in_one_is_asked_back() -> None:
    leg = {"oil_volume_ml": 1040, "oil_volume_book_ml": 520}
    assert "both legs" in asked({"fork": {"left": leg}})


def test_doubts_are_asked_while_other_answers_still_have_faults() -> None:
    document = {"fork": {"left": {"oil_level_mm": 4.3}}, "bike": {"mass_kg": "?"}}
    assert [doubt.path for doubt in doubts_of(document)] == ["fork.left.oil_level_mm"]
