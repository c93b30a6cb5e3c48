"""Several readings of one thing count by their mean, and their spread says how far to trust it."""
from __future__ import annotations

import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.document import faults_of, parse_case
from analysis.repeats import mean_and_spread, repeats_of, sd_of_mean

PATH = "bench.travel.used_mm"


def case_of(value: object):
    return parse_case({"bench": {"travel": {"used_mm": value}}})


@given(st.lists(st.floats(0, 400), min_size=2, max_size=10))
def test_mean_and_spread_are_those_of_the_standard_library(readings: list[float]) -> None:
    mean, spread = mean_and_spread(readings)
    assert mean == pytest.approx(statistics.fmean(readings), abs=1e-9)
    assert spread == pytest.approx(statistics.stdev(readings), abs=1e-9)


def test_three_readings_count_by_their_mean() -> None:
    answer = case_of(["101", "104 mm", "10.1 cm"]).answer(PATH)
    assert answer is not None
    assert answer.value == pytest.approx(0.102)
    assert answer.typed == "101; 104 mm; 10.1 cm"


def test_readings_that_agree_are_no_surer_than_one_careful_reading() -> None:
    one, three = case_of("101").answer(PATH), case_of([101, 101, 101]).answer(PATH)
    assert one is not None and three is not None
    assert three.sd == one.sd


@given(st.lists(st.floats(0, 400), min_size=2, max_size=10), st.floats(0.1, 5))
def test_readings_that_lie_apart_are_less_sure(readings: list[float], sd: float) -> None:
    found = sd_of_mean(sd, readings)
    assert found >= sd
    assert found == pytest.approx(max(sd, statistics.stdev(readings) / math.sqrt(len(readings))))


def test_a_bad_reading_is_named_and_the_good_ones_do_not_hide_it() -> None:
    (fault,) = faults_of({"bench": {"travel": {"used_mm": ["101", "a lot", "104"]}}})
    assert fault.path == PATH and "a lot" in fault.problem


def test_a_question_that_wants_one_number_refuses_a_list() -> None:
    (fault,) = faults_of({"bike": {"mass_kg": [200, 201]}})
    assert "one number" in fault.problem


@pytest.mark.parametrize("value", [[], [1] * 11])
def test_none_and_too_many_are_refused(value: list[float]) -> None:
    assert faults_of({"bench": {"travel": {"used_mm": value}}})


def test_they_are_shown_with_their_unit_and_only_where_all_can_be_read() -> None:
    shown = repeats_of(PATH, ["100", "102", "10.4 cm"])
    assert shown is not None and (shown.count, shown.mean, shown.spread) == (3, "102 mm", "2 mm")
    assert repeats_of(PATH, ["100", "many"]) is None
    assert repeats_of(PATH, ["100"]) is None
    assert repeats_of(PATH, "100") is None


def test_one_reading_has_no_spread_and_degrees_spread_as_differences() -> None:
    assert mean_and_spread([0.102]) == (0.102, 0.0)
    shown = repeats_of("use.temperature_c", ["20", "22"])  # arithmetic: half of 2 squared, twice: √2
    assert shown is not None and shown.spread == "1.4 °C" and shown.mean.startswith("21")
