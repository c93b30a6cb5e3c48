"""A table is typed as pairs; a bad one is refused with the pair that is wrong."""
from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.document import faults_of, parse_case
from analysis.tables import read_table

PATH = "shock.linkage_table_mm"


def case(raw: object) -> dict[str, object]:
    return {"shock": {"linkage_table_mm": raw}}


@pytest.mark.parametrize("typed", [
    "0:0 20:9.8 40:19.9", "0:0\n20:9.8\n40:19.9\n", "0:0; 20:9,8; 40:19,9;", " 0 : 0  20 : 9.8, 40 = 19.9 ",
])
def test_pairs_are_read_however_they_are_parted(typed):
    np.testing.assert_allclose(read_table(typed, "mm"), [(0, 0), (0.02, 0.0098), (0.04, 0.0199)], rtol=1e-12)
    assert parse_case(case(typed)).value(PATH) == typed


@given(st.lists(st.tuples(st.integers(1, 300), st.integers(1, 300)), min_size=2, max_size=20))
def test_what_is_written_is_read(steps):
    pairs = [(sum(z for z, _ in steps[:n]) / 10, sum(s for _, s in steps[:n]) / 10) for n in range(len(steps) + 1)]
    read = read_table(" ".join(f"{z:g}:{s:g}" for z, s in pairs), "mm")
    np.testing.assert_allclose(np.array(read) * 1e3, pairs, rtol=1e-12)


@pytest.mark.parametrize("typed, problem", [
    ("0:0 20:9.8", "2 pairs"), ("0:0 20 40:19.9", '"20 40:19.9" is not a pair'), ("5:0 20:9 40:19", 'is "5:0"'),
    ("0:0 40:19 20:9", '"20:9" does not rise above "40:19"'), ("0:0 20:9 40:9", '"40:9" does not rise'),
    ("0:0 20:-3 40:9", "not a pair"), ("none", "not a pair"), ("0:0 " * 600, "too long"), (5, "not text"),
])
def test_a_bad_table_is_a_fault_that_says_what_to_do(typed, problem):
    (fault,) = faults_of(case(typed))
    assert fault.path == PATH and problem in fault.problem and fault.mend.endswith(".")


def test_an_unknown_table_is_unknown():
    assert PATH in parse_case(case("unknown")).unknown
    assert PATH in parse_case(case({"known": "unknown"})).unknown
