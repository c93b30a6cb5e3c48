"""Two-rate and progressive springs, top-out springs, bump rubbers and balance chambers."""
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from analysis.document import parse_case
from analysis.elements import balance_push, bump_stop_push, progressive_push, top_out_push, two_rate_push
from analysis.inputs import read_inputs
from analysis.leg import PLAIN, Parts, leg_push, springless
from analysis.leg_parts import middle, parts_of
from tests.reference_fork import case, leg

strokes = st.floats(0.001, 0.299)
rates = st.floats(2e3, 2e4)


def elements():
    """Every element as a function of stroke, with figures of an ordinary leg."""
    return {
        "two rates": lambda x: two_rate_push(6e3, 9e3, 0.08, x + 0.01),
        "progressive": lambda x: progressive_push(6e3, 9e3, 0.2, x + 0.01),
        "top-out spring": lambda x: top_out_push(12e3, 0.02, x),
        "bump rubber": lambda x: bump_stop_push(20e3, 0.03, 0.3, x),
        "balance chamber": lambda x: balance_push(1.2e-3, 8e5, 101325.0, 4e-5, x, 1.2),
    }


@pytest.mark.parametrize("name", elements())
@given(x=strokes)
def test_the_stiffness_is_the_slope_of_the_force(name, x):
    push, h = elements()[name], 1e-7
    slope = (push(x + h)[0] - push(x - h)[0]) / (2 * h)
    corners = (0.02, 0.07, 0.19, 0.27)
    if min(abs(x - corner) for corner in corners) > 1e-6:
        assert push(x)[1] == pytest.approx(slope, rel=1e-4, abs=1.0)


@pytest.mark.parametrize("name", elements())
def test_the_force_never_falls_with_stroke_and_has_no_jump(name):
    x = np.linspace(0, 0.3, 3001)
    force = np.asarray(elements()[name](x)[0])
    assert np.all(np.diff(force) >= -1e-9)
    assert np.max(np.abs(np.diff(force))) < 0.02 * (np.ptp(force) + 1)


@pytest.mark.parametrize("name", elements())
def test_one_number_and_an_array_of_them_agree(name):
    push, x = elements()[name], np.linspace(0.001, 0.299, 37)
    together = push(x)
    assert np.allclose(together[0], [push(float(v))[0] for v in x])
    assert np.allclose(together[1], [push(float(v))[1] for v in x])


@given(a=rates, b=rates, c=st.floats(0.0, 0.15))
def test_two_springs_in_a_row_share_the_force_until_one_is_closed(a, b, c):
    """Arithmetic: 6 and 12 N/mm in a row are 4 N/mm, then 12; here any two, against the sum of their compressions."""
    soft, stiff = sorted((a, b))
    closes = 0.05  # the soft spring's own room, m
    both = soft * stiff / (soft + stiff)
    changes_at = closes + soft * closes / stiff
    force = two_rate_push(both, stiff, changes_at, c)[0]
    soft_takes = min(force / soft, closes)
    assert soft_takes + force / stiff == pytest.approx(c, abs=1e-9)


def test_six_and_twelve_in_a_row_are_four():
    assert 6 * 12 / (6 + 12) == 4
    assert two_rate_push(4e3, 12e3, 1.0, 0.05)[0] == pytest.approx(200.0)


@given(k=rates, more=st.floats(1.0, 2.0), c=st.floats(0.0, 0.25))
def test_a_progressive_springs_force_is_the_integral_of_its_rate(k, more, c):
    force = progressive_push(k, k * more, 0.2, c)[0]
    area, _ = quad(lambda s: float(progressive_push(k, k * more, 0.2, s + 1e-15)[1]), 0, c, points=[0.2], limit=200)
    assert force == pytest.approx(area, rel=1e-6, abs=1e-6)


def test_a_balance_chamber_lets_go_as_the_stroke_grows():
    near, far = (balance_push(1.2e-3, 8e5, 101325.0, 4e-5, x, 1.0)[0] for x in (0.0, 0.1))
    assert near == pytest.approx(-(8e5 - 101325) * 1.2e-3)
    assert near < far


def test_a_bump_rubber_ends_at_three_times_its_first_rate():
    assert bump_stop_push(20e3, 0.03, 0.3, 0.3)[1] == pytest.approx(60e3)
    assert bump_stop_push(20e3, 0.03, 0.3, 0.3)[0] == pytest.approx(20e3 * 0.03 * 2)
    assert bump_stop_push(20e3, 0.03, 0.3, 0.25) == (0.0, 0.0)


AIRLESS = leg(closed_pressure=0.0, ride_pressure=0.0)


@pytest.mark.parametrize(("parts", "push"), [
    ({"second_rate": 11e3, "changes_at": 0.06}, lambda x: two_rate_push(8500.0, 11e3, 0.06, 0.015 + x)),
    ({"end_rate": 11e3, "grows_over": 0.155}, lambda x: progressive_push(8500.0, 11e3, 0.155, 0.015 + x)),
    ({"top_out": (12e3, 0.02)}, lambda x: top_out_push(12e3, 0.02, x)),
    ({"bump": (20e3, 0.03)}, lambda x: bump_stop_push(20e3, 0.03, 0.14, x)),
    ({"balance": (1.2e-3, 8e5, 4e-5)}, lambda x: balance_push(1.2e-3, 8e5, 0.0, 4e-5, x, 1.2)),
])
def test_each_part_pushes_in_its_leg_as_it_does_alone(parts, push):
    x = np.array([0.005, 0.03, 0.07, 0.13])
    wound = {"second_rate", "end_rate"} & parts.keys()
    spring = 0.0 if wound else 8500.0 * (0.015 + x)
    found = leg_push(replace(AIRLESS, parts=Parts(**parts)), x, 1.2)
    np.testing.assert_allclose(found[0], push(x)[0] + spring, rtol=1e-12)
    np.testing.assert_allclose(found[1], push(x)[1] + (0.0 if wound else 8500.0), rtol=1e-12)


def test_a_leg_without_its_spring_keeps_its_other_parts():
    bare = springless(replace(AIRLESS, parts=Parts(second_rate=11e3, changes_at=0.06, bump=(20e3, 0.03))))
    assert leg_push(bare, 0.05, 1.2)[0] == 0.0
    assert leg_push(bare, 0.14, 1.2)[0] == pytest.approx(20e3 * 0.03 * 2)
    assert springless(replace(AIRLESS, parts=Parts(second_rate=11e3, changes_at=0.06))).parts is PLAIN


def test_a_progressive_spring_has_no_second_rate_that_sets_in_at_once() -> None:
    kinds = {"two rates": {"changes_at_mm": 60}, "progressive": {}}
    found = {}
    for kind, more in kinds.items():
        told = case({"spring": {"kind": kind, "rate_n_per_mm": 8, "second_rate_n_per_mm": 11} | more})
        inputs = read_inputs(parse_case(told))
        found[kind] = parts_of(inputs, inputs.left, 8000.0, 0.010, middle)
    assert found["two rates"] == Parts(second_rate=11000.0, changes_at=0.060)
    assert found["progressive"] == Parts(end_rate=11000.0, grows_over=pytest.approx(0.150))
