"""What a drawn bike would show in the numbers of play, spin and heights.  Widths are common practice, no source."""
from __future__ import annotations

import numpy as np

from analysis.document import Case
from analysis.estimates import MM, Estimate
from analysis.observations_bounce import SignReading
from analysis.observing import Answered, Array, Reading, known, sigmoid
from analysis.say import say
from analysis.world import World

Pair = tuple[float, float]


def _mm(mean: float, sd: float) -> Pair:
    return mean * MM, sd * MM


def _sticky(world: World) -> Array:
    return sigmoid((world.friction - 160.0) / 35.0)


def _tubes_apart(case: Case) -> Estimate | None:
    """How far the two tubes stand apart in the yokes, without regard to which is higher."""
    left, right = (known(f"bench.heights.{side}_tube_mm")(case) for side in ("left", "right"))
    if left is None or right is None:
        return None
    return Estimate(abs(left.value - right.value), float(np.hypot(left.sd, right.sd)), left.known)


def _rear_lower(case: Case) -> Estimate | None:
    """How much lower the rear stands than it used to."""
    now, before = known("bench.heights.rear_mm")(case), known("bench.heights.rear_before_mm")(case)
    if now is None or before is None:
        return None
    return Estimate(before.value - now.value, float(np.hypot(now.sd, before.sd)), before.known)


def _odd_leg(world: World) -> dict[str, Array]:
    """A knock from one leg speaks of what only one leg has: a bend, a worn damper, oil that differs."""
    odd = np.maximum(np.maximum(world.shows("bent"), world.shows("worn damper")),
                     sigmoid((np.abs(world.apart) - 40e-6) / 10e-6))
    return {"both": 0.75 - 0.4 * odd, "left": 0.12 + 0.2 * odd, "right": 0.13 + 0.2 * odd}


PLAY_READINGS: tuple[Reading, ...] = (
    SignReading("bench.rear_play.up_down_mm", "", say("Up-and-down play at the rear rim"),
                known("bench.rear_play.up_down_mm"), lambda w: 0.6 * MM + 2.6 * MM * w.shows("rear stuck"),
                lambda w: 1 * MM, 0.7 * MM, 20 * MM, sign="rear stuck", without=_mm(0.6, 0.5), with_it=_mm(3.2, 2.0)),
    SignReading("bench.rear_play.side_mm", "", say("Side play at the rear rim"), known("bench.rear_play.side_mm"),
                lambda w: 0.6 * MM + 1.6 * MM * w.shows("rear stuck"), lambda w: 1 * MM, 0.7 * MM, 20 * MM,
                sign="rear stuck", without=_mm(0.6, 0.5), with_it=_mm(2.2, 1.8)),
    SignReading("bench.rolling.spin_turns", "", say("Turns of the front wheel after a spin"),
                known("bench.rolling.spin_turns"), lambda w: 5.0 - 3.5 * w.shows("rolling fault"), lambda w: 2.0, 0.5,
                25.0, sign="rolling fault", without=(5.0, 2.5), with_it=(1.5, 1.2)),
    SignReading("bench.heights.left_tube_mm", "", say("How far the tubes stand apart in the yokes"), _tubes_apart,
                lambda w: 0.3 * MM + 1.2 * MM * _sticky(w), lambda w: 0.6 * MM, 0.5 * MM, 10 * MM, chance=_sticky,
                without=_mm(0.3, 0.4), with_it=_mm(1.5, 1.5)),
    Reading("bench.heights.rear_before_mm", "", say("How much lower the rear stands than it did"), _rear_lower,
            lambda w: w.rear_error, lambda w: 4 * MM, 4 * MM, 150 * MM),
)
PLAY_ANSWERS: tuple[Answered, ...] = (
    Answered("bench.top_out.side", "top_out", say("Where the knock at the top comes from"), "top", _odd_leg),
)
