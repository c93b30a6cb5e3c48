"""What stays behind when a leg is emptied, and what that does to the next fill.

The shares are common practice, no source; the amounts that follow from them are arithmetic.
"""
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.air import circle_area
from analysis.oil import oil_in_leg, oil_in_leg_from_drained, residual_share

ML = 1e-6
ways = st.sampled_from([("dry", True), ("dry", None), ("drained", True), ("drained", False), ("drained", None)])


# Common practice, no source: about 95 % leaves a leg that is drained and pumped; unpumped keeps much more.
def test_the_shares_that_stay():
    assert residual_share("dry", None)[0] == 0.0
    assert residual_share("drained", True)[0] == 0.05
    assert residual_share("drained", False)[0] == 0.15


def test_not_knowing_whether_it_was_pumped_lies_between_and_spreads_over_both():
    mean, sd = residual_share("drained", None)
    assert mean == pytest.approx(0.10)
    assert mean - sd < 0.05 and mean + sd > 0.15


@pytest.mark.parametrize("filled", ["level set", None])
@pytest.mark.parametrize("pumped", [True, False, None])
def test_a_set_level_or_an_unknown_way_says_nothing_about_the_residue(filled, pumped):
    assert residual_share(filled, pumped) is None
    assert oil_in_leg(520 * ML, 520 * ML, filled, pumped) is None


@pytest.mark.parametrize("poured, pumped, over", [(494, True, 0), (520, True, 26), (520, False, 78)])
def test_the_dry_amount_into_a_drained_leg_is_too_much(poured, pumped, over):
    mean, _ = oil_in_leg(poured * ML, 520 * ML, "drained", pumped)
    assert mean / ML - 520 == pytest.approx(over)


def test_the_dry_amount_into_a_drained_leg_in_level_and_stroke():
    over = oil_in_leg(520 * ML, 520 * ML, "drained", True)[0] - 520 * ML
    assert over / circle_area(0.041) * 1e3 == pytest.approx(19.7, abs=0.05)
    assert over / circle_area(0.036) * 1e3 == pytest.approx(25.5, abs=0.1)


# Common practice, no source: 0.92 to 0.98 of the oil comes out when pumped, 0.85 to 0.90 when not.
@pytest.mark.parametrize("out, low, middle, high", [(560, 571, 589, 609), (515, 526, 542, 560)])
def test_the_oil_that_was_in_a_pumped_leg(out, low, middle, high):
    mean, sd = oil_in_leg_from_drained(out * ML, True)
    assert mean / ML == pytest.approx(middle, abs=0.6)
    assert (mean - 2 * sd) / ML == pytest.approx(low, abs=2)
    assert (mean + 2 * sd) / ML == pytest.approx(high, abs=2)


def test_an_unpumped_leg_held_more_and_is_less_sure():
    pumped, unpumped, unknown = (oil_in_leg_from_drained(500 * ML, way) for way in (True, False, None))
    assert 500 / 0.90 < unpumped[0] / ML < 500 / 0.85
    assert pumped[0] < unknown[0] < unpumped[0]
    assert pumped[1] < unpumped[1] < unknown[1]


@given(poured=st.floats(100, 1200), way=ways, sd=st.floats(0.1, 40))
def test_spreads_add_in_squares_and_more_poured_is_more_inside(poured, way, sd):
    bare, with_sd = (oil_in_leg(poured * ML, 520 * ML, *way, poured_sd=each * ML) for each in (0.0, sd))
    assert with_sd[0] == bare[0] >= poured * ML
    assert with_sd[1] ** 2 == pytest.approx(bare[1] ** 2 + (sd * ML) ** 2)
    assert oil_in_leg((poured + 1) * ML, 520 * ML, *way)[0] > bare[0]


def test_a_doubtful_scale_widens_what_was_drained():
    sure, doubtful = (oil_in_leg_from_drained(500 * ML, True, drained_sd=each * ML) for each in (0, 20))
    assert doubtful[1] ** 2 - sure[1] ** 2 == pytest.approx((20 * ML / 0.95) ** 2)
