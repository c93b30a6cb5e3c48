"""What a drawn bike would show in a recorded bounce: damping ratio, friction and frequency, front and rear.

A recording says what counting swings and a watch say, and more; so with one in the case those say nothing.
"""
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analysis.bounce_sources import FRONT, REAR, Sources, measured_bounce
from analysis.case import Case
from analysis.decay import Interval
from analysis.estimates import MM, Estimate
from analysis.fork import GRAVITY, fork_stiffness
from analysis.labels import DOUBT
from analysis.observing import Array, Reading
from analysis.say import say
from analysis.world import World

SOFTEST, SOLID = 1e3, 1e6
"""Stiffness in N/m that a fork has at least, and one that does not move."""
SEEN = 3.92
"""Width of a 95 % interval in standard deviations."""
REAR_RATIO = ((0.45, 0.16), (0.14, 0.07))
"""Damping ratio of a sound rear and of a worn one, each with its spread: common practice, no source."""
REAR_RUBS_MM = ((2.5, 1.8), (12.0, 7.0))
"""Half width of the band in which a free and a stuck rear come to rest, mm at the tail: common practice, no source."""


def recorded(case: Case, sources: Sources = FRONT) -> bool:
    """Tell whether a recording, or heights read off one, say how the bounce died away."""
    return measured_bounce(case, sources) is not None


def _measured(path: str, sources: Sources, part: str) -> Callable[[Case], Estimate | None]:
    """Return the finder of one part of the result, where it is the question at ``path`` that gave it."""
    def find(case: Case) -> Estimate | None:
        found = measured_bounce(case, sources)
        answer = case.answer(path)
        if found is None or found[0] != path or answer is None:
            return None
        value: Interval | None = getattr(found[1], part, None)
        return None if value is None else Estimate(value.value, max((value.high - value.low) / SEEN, 1e-6),
                                                   answer.known)
    return find


def _stiffness(world: World) -> Array:
    """Where the bike rests by itself; a fork that is solid there hardly moves at all."""
    found = np.asarray(fork_stiffness(world.as_is, world.free_sag, world.n_fast))
    return np.where(np.isfinite(found), np.maximum(found, SOFTEST), SOLID)


def _hertz(world: World) -> Array:
    """How often it would swing in a second: the front's own load on its springs and air, without the tyre."""
    mass = world.free_load / (GRAVITY * np.cos(world.rake))
    return np.asarray(np.sqrt(_stiffness(world) / mass) / (2 * np.pi))


def _rubs(world: World) -> Array:
    return np.asarray(world.friction / _stiffness(world))


@dataclass(frozen=True)
class SignReading(Reading):
    """A number that depends on whether something is there: ``without`` it and ``with_it``, each as mean and spread.

    It is there as the sign named says, or with ``chance``.
    """

    sign: str = ""
    chance: Callable[[World], Array] | None = None
    without: tuple[float, float] = (0.0, 1.0)
    with_it: tuple[float, float] = (0.0, 1.0)

    def density(self, world: World, found: Estimate) -> tuple[Array, Array | float, Array]:
        """Return the density: the sign there, or not, each as likely as the draw's cause makes it.

        No draw of a cause is nearer than another, so the distance is none.
        """
        there, doubt = self.chance(world) if self.chance else world.shows(self.sign), DOUBT.get(found.known, 0.1)

        def bell(mean_sd: tuple[float, float]) -> float:
            sd = float(np.hypot(found.sd, mean_sd[1]))
            return float(np.exp(-0.5 * ((found.value - mean_sd[0]) / sd) ** 2) / (np.sqrt(2 * np.pi) * sd) * self.width)

        right = (1 - doubt) * (there * bell(self.with_it) + (1 - there) * bell(self.without))
        return right, doubt, np.zeros(world.size)


def _of_sign(sign: str, without: float, with_it: float) -> Callable[[World], Array]:
    return lambda world: without + (with_it - without) * world.shows(sign)


FRONT_PATHS = tuple(path for name, (path, _) in FRONT.items() if name != "count")
REAR_PATH = REAR["recording"][0]

BOUNCE_READINGS: tuple[Reading, ...] = (
    *(Reading(path, "", say("Damping ratio of the bounce"), _measured(path, FRONT, "zeta"), lambda w: w.rebound,
              lambda w: 0.04 + 0.15 * w.rebound, 0.03, 1.5) for path in FRONT_PATHS),
    *(Reading(path, "", say("Friction in the bounce"), _measured(path, FRONT, "friction"), _rubs,
              lambda w: 1.0 * MM + 0.25 * _rubs(w), 1 * MM, 40 * MM) for path in FRONT_PATHS),
    *(Reading(path, "", say("How often it swings in a second"), _measured(path, FRONT, "natural_hz"), _hertz,
              lambda w: 0.2 * _hertz(w), 0.1, 8.0) for path in FRONT_PATHS),
    SignReading(REAR_PATH, "", "damping ratio of the rear's bounce", _measured(REAR_PATH, REAR, "zeta"),
                _of_sign("rear worn", REAR_RATIO[0][0], REAR_RATIO[1][0]), lambda w: 0.15, 0.03, 1.5,
                sign="rear worn", without=REAR_RATIO[0], with_it=REAR_RATIO[1]),
    SignReading(REAR_PATH, "", "friction in the rear's bounce", _measured(REAR_PATH, REAR, "friction"),
                _of_sign("rear stuck", REAR_RUBS_MM[0][0] * MM, REAR_RUBS_MM[1][0] * MM), lambda w: 3 * MM, 1 * MM,
                60 * MM, sign="rear stuck", without=(REAR_RUBS_MM[0][0] * MM, REAR_RUBS_MM[0][1] * MM),
                with_it=(REAR_RUBS_MM[1][0] * MM, REAR_RUBS_MM[1][1] * MM)),
)
