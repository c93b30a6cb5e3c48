"""Growth of oil with temperature, against the petroleum industry's correction."""
from math import exp

import pytest

from analysis.air import circle_area
from analysis.oil import expand


def corrected(t_from, t_to, density):
    """The volume of one at ``t_from`` °C when it is ``t_to`` °C warm.  Source: API MPMS chapter 11.1, lubricating oils
    (read in a posted copy): CTL = exp(−α ΔT (1 + 0.8 α ΔT)) with α = 0.6278/ρ and ΔT from 15 °C."""
    def shrink(t):
        grown = 0.6278 / density * (t - 15)
        return grown * (1 + 0.8 * grown)
    return exp(shrink(t_to) - shrink(t_from))


# Source: the same; its own figure for 870 kg/m³ from 20 to 60 °C.
def test_the_correction_is_the_one_that_is_printed():
    assert corrected(20, 60, 870.0) == pytest.approx(1.0301, abs=5e-5)


@pytest.mark.parametrize("warm", [-10, 0, 10, 30, 40, 50])
def test_the_straight_rule_stays_within_a_tenth_of_a_percent_of_the_correction(warm):
    assert expand(1.0, warm - 20.0) == pytest.approx(corrected(20, warm, 860.0), abs=1e-3)
    assert expand(1.0, 1.0) - 1 == pytest.approx(corrected(14.5, 15.5, 860.0) - 1, rel=1e-3)


# Source: a published worked figure (read): 0.0007 per K, 100 litres from 20 to 40 °C gain 1.4 litres.
def test_a_hundred_litres_gain_fourteen_hundred_millilitres():
    assert expand(0.1, 20.0, 7e-4) - 0.1 == pytest.approx(1.4e-3, rel=1e-12)


# Arithmetic: 0.00075 per K, 520 ml, 40 K warmer, on a 41 mm tube.
def test_a_hot_leg_loses_a_centimetre_of_stroke():
    gained = expand(520e-6, 40.0, 7.5e-4) - 520e-6
    assert gained * 1e6 == pytest.approx(15.6)
    assert gained / circle_area(0.041) * 1e3 == pytest.approx(11.8, abs=0.05)
