"""What a bike in order would measure in each test, and how far a model of it is off: arithmetic and common practice."""
from __future__ import annotations

import numpy as np
import pytest

from analysis.causes import BY_NAME
from analysis.document import parse_case
from analysis.estimates import ML, MM
from analysis.inputs import read_inputs
from analysis.observations import READINGS
from analysis.world import BAR, World
from tests.reference_fork import case

# The middle of many bikes and how far off.  The front without its rider is 75 kg on 19 N/mm: 38 mm under 735 N less
# 15 mm of preload, 2.5 swings a second, and 4.7 mm more for each 10 kg along a rake of 24°.
MILLIMETRES: dict[str, tuple[float, float]] = {
    "Free sag": (25.6, 2.7), "Rider sag": (41.2, 2.7), "Gap between the two sag readings": (3.0, 1.2),
    "Rider sag with the preload out": (45.6, 2.7), "Stroke with a slow lean": (43.7, 3), "Travel used": (120, 3),
    "Stroke with a quick push": (71, 4), "Stroke with the springs out": (139.6, 1),
    "Stroke with the springs out, right": (139.6, 1), "Oil level, left": (140, 1), "Oil level, right": (140, 1),
    "Stroke left unused, up to the mark": (9.7, 3), "Up-and-down play at the rear rim": (0.68, 1),
    "Side play at the rear rim": (0.65, 1), "How far the tubes stand apart in the yokes": (0.36, 0.6),
    "How much lower the rear stands than it did": (-0.6, 4), "Stroke under the light load": (30.3, 2),
    "Stroke under the middle load": (35, 2), "Stroke under the heavy load": (44.4, 2),
    "Quick push with the clicks fully in": (68, 5), "Quick push with the clicks fully out": (74.2, 5),
    "Friction in the bounce": (3.0, 1.76), "friction in the rear's bounce": (2.8, 3), "Rear rider sag": (38.4, 5),
}
MEASURED = {title: (middle * MM, off * MM) for title, (middle, off) in MILLIMETRES.items()} | {
    "Friction of the fork": (60, 8), "Oil that comes out of the left leg": (494 * ML, 8.6 * ML),
    "Oil that comes out of the right leg": (494 * ML, 8.6 * ML), "Turns of the front wheel after a spin": (4.9, 2),
    "Time to come back": (0.19, 0.12), "Damping ratio of the bounce": (0.49, 0.114),
    "How often it swings in a second": (2.45, 0.49), "damping ratio of the rear's bounce": (0.44, 0.15),
    "Where the rebound adjuster stands": (0.5, 0.22), "Where the compression adjuster stands": (0.5, 0.22),
    "Front tyre pressure": (2.3 * BAR, 0.2 * BAR), "Thickness of the oil against the papers": (0.0, 0.3),
    "How much lower the legs were closed than they are ridden": (0.0, 0.1 * BAR),
}


@pytest.fixture(scope="module")
def world() -> World:
    told = parse_case(case({"oil_level_mm": 140}))
    return World(told, read_inputs(told), [BY_NAME["nothing wrong or measured badly"]], 200, np.random.default_rng(3))


def test_every_number_that_is_weighed_is_told() -> None:
    assert {reading.title for reading in READINGS} == set(MEASURED)


@pytest.mark.parametrize("number", range(len(READINGS)))
def test_a_bike_in_order_measures_what_it_should(number: int, world: World) -> None:
    reading = READINGS[number]
    found = [float(np.median(np.asarray(of(world)))) for of in (reading.predict, reading.off_by)]
    middle, off = MEASURED[reading.title]
    assert found == pytest.approx((middle, off), rel=0.06, abs=0.0 if middle else 0.2 * off)


def test_the_rear_sags_by_a_share_of_its_own_travel(world: World) -> None:
    rear = next(reading for reading in READINGS if reading.path == "shock.rider_sag_mm")
    told = parse_case(case(shock={"wheel_travel_mm": 200}))
    longer = World(told, read_inputs(told), [BY_NAME["nothing wrong or measured badly"]], 200, np.random.default_rng(3))
    # Common practice, no source: 30 % of the 200 mm, and of 130 mm where nobody knows.
    assert np.median(rear.predict(longer) - longer.rear_error) == pytest.approx(60 * MM)
    assert np.median(rear.predict(world) - world.rear_error) == pytest.approx(39 * MM)
