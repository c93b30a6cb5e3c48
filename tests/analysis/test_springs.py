"""Coil springs against published examples, and the rules their force keeps."""
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from analysis.spring import STEEL_G, rate_spread, solid_length, spring_rate, steel_volume
from tests.analysis.lone_forces import spring_force

LBF_PER_INCH = 175.126_835_2  # N/m, exact to these digits
INCH, PSI = 0.0254, 6_894.757_293

wires, coils, counts = st.floats(0.003, 0.007), st.floats(0.02, 0.05), st.floats(10, 70)


# Source: Shigley, Mechanical Engineering Design, Problem 10-3 (read in a posted copy).
def test_a_plain_ground_spring():
    assert spring_rate(81e9, 2.5e-3, 28.5e-3, 13) == pytest.approx(1_314, abs=0.5)
    assert solid_length(2.5e-3, 14) == pytest.approx(0.035)


# Source: Shigley, Problem 10-6 (read in a posted copy): 11.58 working coils make 3.333 N/mm; solid 50.4 mm.
def test_a_spring_chosen_for_its_rate():
    assert spring_rate(77.2e9, 4e-3, 40e-3, 11.58) == pytest.approx(3_333, rel=2e-4)
    assert solid_length(4e-3, 12.6) == pytest.approx(0.0504)


# Source: EN 13906-1, worked report of a general spring program (read in a posted copy).
def test_a_spring_after_the_european_standard():
    rate = spring_rate(81_500e6, 5e-3, 34.6e-3, 9.5)
    assert rate == pytest.approx(16_181, abs=0.5)
    assert spring_force(rate, 0.0, 0.1058 - 0.0885) == pytest.approx(280, abs=0.5)
    assert spring_force(rate, 0.0, 0.1058 - 0.0675) == pytest.approx(620, abs=0.5)


# Source: Shigley, Example 10-1 (from memory): 4.13 lbf/in.
def test_a_music_wire_spring_in_inches():
    rate = spring_rate(11.85e6 * PSI, 0.037 * INCH, 0.400 * INCH, 10.5)
    assert rate / LBF_PER_INCH == pytest.approx(4.13, abs=0.005)


# Arithmetic: a fork spring of 5.0 mm wire on 30 mm, 27 working coils of 29.
def test_a_fork_spring():
    assert spring_rate(STEEL_G, 5e-3, 30e-3, 27) == pytest.approx(8_500, abs=2)


@given(d=wires, coil=coils, n=counts)
def test_the_rate_is_that_of_the_wire_in_torsion(d, coil, n):
    """Second way: energy of the twisted wire, T²L/(2GJ) with T = F D/2, equals F²/(2k)."""
    length, polar = np.pi * coil * n, np.pi * d**4 / 32
    torsion = STEEL_G * polar / ((coil / 2) ** 2 * length)
    assert spring_rate(STEEL_G, d, coil, n) == pytest.approx(torsion, rel=1e-12)


@given(d=wires, coil=coils, n=counts)
def test_the_steel_is_its_section_swept_round_the_coils(d, coil, n):
    swept, _ = quad(lambda angle: np.pi * d**2 / 4 * coil / 2, 0, 2 * np.pi * n)
    assert steel_volume(d, coil, n) == pytest.approx(swept, rel=1e-9)


@given(preload=st.floats(-0.03, 0.05), x=st.floats(0, 0.3), more=st.floats(0, 0.1))
def test_the_force_never_falls_with_stroke_and_never_pulls(preload, x, more):
    assert 0 <= spring_force(8_500.0, preload, x) <= spring_force(8_500.0, preload, x + more)


def test_a_slack_spring_pushes_only_after_its_slack():
    np.testing.assert_allclose(spring_force(8_500.0, -0.010, np.array([0.0, 0.010, 0.012])), [0, 0, 17.0], atol=1e-9)


@given(k=st.floats(3e3, 13e3), preload=st.integers(-30, 50).map(lambda mm: mm / 1e3), x=st.floats(0.001, 0.3))
def test_the_force_integrates_to_half_the_rate_times_the_squares(k, preload, x):
    start, end = max(preload, 0.0), max(preload + x, 0.0)
    kink = [-preload] if 0 < -preload < x else None
    work, _ = quad(lambda at: spring_force(k, preload, at), 0, x, points=kink)
    assert work == pytest.approx(k * (end**2 - start**2) / 2, rel=1e-7, abs=1e-7)


def test_the_spread_of_a_rate_is_that_of_many_drawn_springs():
    draw = np.random.default_rng(7)
    d, coil, n = (draw.normal(mean, sd, 200_000) for mean, sd in ((5e-3, 4e-5), (30e-3, 2e-4), (27, 0.3)))
    drawn = spring_rate(draw.normal(STEEL_G, 0.019 * STEEL_G, 200_000), d, coil, n)
    spread = rate_spread(spring_rate(STEEL_G, 5e-3, 30e-3, 27), 5e-3, 30e-3, 27,
                         sd_d=4e-5, sd_D=2e-4, sd_n=0.3, share_g=0.019)
    assert spread == pytest.approx(np.std(drawn), rel=0.02)
