"""One leg that is nothing but a column of air, or nothing but a spring: the kernels as the engine runs them."""
from __future__ import annotations

import math

from analysis.leg import Leg, air_push, spring_push

SEA = 101_325.0


def air_leg(area, extended, closed=SEA, ride=SEA, stroke=0.14):
    """A leg without a spring, with ``extended`` m³ of air when it is long."""
    return Leg(area, stroke, extended - area * stroke, closed, ride, rate=0.0, preload=0.0)


def air_force(area, extended, x, n, closed=SEA, ride=SEA):
    """The force of the air alone, N."""
    return air_push(air_leg(area, extended, closed, ride), x, n)[0]


def air_stiffness(area, extended, x, n, closed=SEA):
    """The slope of that force, N/m."""
    return air_push(air_leg(area, extended, closed), x, n)[1]


def spring_force(rate, preload, x):
    """The force of the spring alone, N."""
    return spring_push(Leg(1e-3, 0.3, math.inf, SEA, SEA, rate, preload), x)[0]
