"""The spring for a rider, and what the springs on the shelf would give."""
from __future__ import annotations

from dataclasses import replace
from math import cos, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.fork import Fork, stroke_under
from analysis.leg import Leg
from analysis.linkage import constant_linkage
from analysis.rear import Rear, Shock, travel_under
from analysis.spring_choice import (
    FRONT_FREE_SAG,
    End,
    Wish,
    best_offer,
    front_end,
    offers,
    preload_wanted,
    rate_for,
    rear_end,
    sag_with,
    shelf,
)

G = 9.81
LEG = Leg(seal_area=1.32e-3, stroke=0.14, air_compressed=7e-5, closed_pressure=101325, ride_pressure=101325,
          rate=8.5e3, preload=0.015)
FORK = Fork(LEG, LEG)
REAR = Rear(Shock(95e3, 0.010, 0.07), constant_linkage(0.5, 0.14))


# Arithmetic of the trade, with its g of 9.81: bike 200 kg, 49 % on the front, 16 kg unsprung, 42 % of the rider on the
# front, rake 24°, rider sag 38 mm, preload 15 mm, gas 65.4 N from both legs together.
@pytest.mark.parametrize("rider, rate", [(65, 8.62), (85, 9.33), (105, 10.04), (125, 10.75)])
def test_front_rate_for_the_riders_weight(rider, rate):
    load = (200 * 0.49 - 16 + 0.42 * rider) * G * cos(radians(24))
    end = End(lambda x: x, lambda x: 1.0, lambda x: 65.4, 2, 0.14, FRONT_FREE_SAG)
    assert rate_for(end, load, 0.038, 0.015) / 1e3 == pytest.approx(rate, abs=5e-3)


# Arithmetic of the trade: 330 mm free, 29 coils of 5.0 mm, preload 15 and stroke 140 mm leave 30 mm; 34 coils of
# 5.2 mm leave −1.8 mm.
@pytest.mark.parametrize("wire, coils, margin", [(5.0, 29, 30.0), (5.2, 34, -1.8)])
def test_room_before_the_coils_touch(wire, coils, margin):
    end = front_end(FORK)
    load = 2 * 8.5e3 * (0.015 + 0.038) + end.others(0.038)
    wish = Wish(700.0, load, 0.038, (0.010, 0.020), closes=(330 - wire * coils) * 1e-3)
    (offer,) = offers(end, wish, [8.5e3])
    assert offer.preload == pytest.approx(0.015, abs=1e-9)
    assert offer.bind_margin * 1e3 == pytest.approx(margin, abs=0.01)
    assert offer.fits == (margin > 0)
    assert ("coils would touch 2 mm" in offer.words) == (margin < 0)


@given(load=st.floats(600, 2500), rate=st.floats(6e3, 12e3), preload=st.floats(0, 0.03))
def test_both_ways_of_finding_the_sag_agree(load, rate, preload):
    """Second way: the fork's and the rear's own solvers."""
    fork = Fork(replace(LEG, rate=rate, preload=preload), replace(LEG, rate=rate, preload=preload))
    assert sag_with(front_end(FORK), rate, preload, load) == pytest.approx(stroke_under(fork, load, 1.0), abs=1e-9)
    rear = replace(REAR, shock=replace(REAR.shock, rate=10 * rate, preload=preload))
    assert sag_with(rear_end(REAR), 10 * rate, preload, load) == pytest.approx(travel_under(rear, load), abs=1e-9)


@given(rider=st.floats(900, 1800), sag=st.floats(0.02, 0.06), preload=st.floats(0.002, 0.03))
def test_rate_and_preload_are_two_sides_of_one_sag(rider, sag, preload):
    for end in (front_end(FORK), rear_end(REAR)):
        rate = rate_for(end, rider, sag, preload)
        if rate > 0:
            assert preload_wanted(end, rate, rider, sag) == pytest.approx(preload, abs=1e-9)
            assert sag_with(end, rate, preload, rider) == pytest.approx(sag, abs=1e-8)


def shelf_offers(reach):
    wish = Wish(free_load=820.0, rider_load=1310.0, rider_sag=0.038, preload=reach)
    return offers(rear_end(REAR), wish, shelf(95e3, 10e3))


def test_softer_springs_need_more_preload_and_leave_less_free_sag():
    found = shelf_offers((0.0, 0.06))
    assert [o.preload_needed for o in found] == sorted((o.preload_needed for o in found), reverse=True)
    assert [o.free_sag for o in found] == sorted(o.free_sag for o in found)
    assert all(o.rider_sag == pytest.approx(0.038, abs=1e-9) for o in found if o.preload == o.preload_needed)
    assert found[0].rate < found[-1].rate


def test_what_preload_cannot_do_is_said_in_words():
    found = shelf_offers((0.008, 0.010))
    soft, stiff = found[0], found[-1]
    assert soft.words.startswith("Cannot be done by preload") and soft.words.endswith("Too soft.")
    assert stiff.words.startswith("Cannot be done by preload") and stiff.words.endswith("Too stiff.")
    assert not soft.fits and soft.preload == 0.010 and stiff.preload == 0.008
    assert soft.rider_sag > 0.038 > stiff.rider_sag


def test_the_best_spring_fits_and_is_none_where_none_does():
    found = shelf_offers((0.0, 0.04))
    best = best_offer(found)
    assert best is not None and best.fits
    assert best.words == f"Fits, with {1e3 * best.preload_needed:.1f} mm of preload."
    assert best_offer(shelf_offers((0.2, 0.3))) is None


def test_a_shelf_is_in_whole_steps_around_the_rate():
    assert shelf(9.33e3, 500.0) == (8000.0, 8500.0, 9000.0, 9500.0, 10000.0, 10500.0, 11000.0)
    assert all(rate > 0 for rate in shelf(400.0, 500.0))
    assert shelf(9.33e3, 500.0, stock=(9e3, 7e3, 9e3, 11e3)) == (7000.0, 9000.0, 11000.0)
    assert shelf(9.33e3, 500.0, 1, (9e3, 7e3, 12e3, 11e3, 5e3)) == (7000.0, 9000.0, 11000.0)


def test_a_spring_that_is_far_too_soft_spends_the_travel():
    assert sag_with(front_end(FORK), 1.0, 0.0, 1e6) == FORK.end
    assert sag_with(rear_end(REAR), 1.0, 0.0, 1e6) == REAR.travel
    assert sag_with(rear_end(REAR), 95e3, 0.03, 100.0) == 0.0


# Arithmetic: 1 N on 1 N/µm asks for 1 µm.
@pytest.mark.parametrize("reach, fits", [((0.0, 0.0), True), ((0.0, -1e-7), False), ((2e-6, 1.0), True),
                                         ((2.1e-6, 1.0), False)])
def test_a_thousandth_of_a_millimetre_is_within_an_adjusters_range(reach, fits):
    end = End(lambda x: x, lambda x: 1.0, lambda x: 0.0, 1, 0.1, (-1.0, 1.0))
    (offer,) = offers(end, Wish(0.0, 1.0, 0.0, reach), [1e6])
    assert offer.fits == fits, offer.words
