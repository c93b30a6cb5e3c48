"""A key that is not known gets a guess at what was meant."""
from __future__ import annotations

from typing import Any

import pytest

from analysis.document import faults_of


def mend(document: dict[str, Any]) -> str:
    (fault,) = faults_of(document)
    return f"{fault.path}: {fault.mend}"


@pytest.mark.parametrize("key", ["oil_level", "oil_level_cm", "oil_level_in", "oil_levl_mm", "Oil_Level_mm"])
def test_a_key_without_its_unit_or_with_another_is_recognised(key: str) -> None:
    assert 'Did you mean "oil_level_mm"?' in mend({"fork": {"left": {key: 110}}})


def test_a_rate_in_another_unit_is_recognised() -> None:
    assert '"rate_n_per_mm"' in mend({"fork": {"left": {"spring": {"rate_kgf_per_mm": 0.95}}}})


def test_another_unit_is_told_to_go_in_as_text() -> None:
    assert '"4.3 in"' in mend({"bike": {"mass_lb": 440}})


def test_a_key_in_the_wrong_group_is_told_its_place() -> None:
    assert "fork.left.oil_level_mm or fork.right.oil_level_mm" in mend({"fork": {"oil_level_mm": 110}})
    assert "fork.travel_mm" in mend({"travel_mm": 140})


def test_a_dotted_path_is_told_to_be_nested() -> None:
    assert "bike.mass_kg" in mend({"bike.mass_kg": 200})


def test_a_misspelled_group_is_recognised() -> None:
    assert 'Did you mean "fork"?' in mend({"forks": {}})


def test_what_resembles_nothing_is_to_be_left_out() -> None:
    assert mend({"qqqq": 1}) == "qqqq: Leave it out."


def test_a_very_long_key_is_shortened() -> None:
    (fault,) = faults_of({"k" * 100_000: 1})
    assert len(fault.path) < 100


def test_ten_thousand_unknown_keys_are_all_listed() -> None:
    assert len(faults_of({f"key {n}": n for n in range(10_000)})) == 10_000
