"""What a drawn fork would show of its very end, marked with putty, and of the oil that comes out of its legs."""
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analysis import oil
from analysis.estimates import ML, MM, Estimate
from analysis.observing import Answered, Array, Reading, known, sigmoid
from analysis.say import say
from analysis.world import World

PUTTY = 15 * MM
"""Width of the ring of putty below the mark."""
BLUR = {"papers": 1.0, "springs out": 0.6, "guess": 4.0}
"""How much a mark is off by where it came from, against one from the papers: common practice, no source."""
USUAL_AMOUNT = 500 * ML
"""Oil in a leg that the papers do not tell, for judging the test before it is done: common practice, no source."""


@dataclass(frozen=True)
class SecondReading(Reading):
    """A number that sees what the number at ``beside`` sees: with both there, this one counts by its root."""

    beside: str = ""

    def density(self, world: World, found: Estimate) -> tuple[Array, Array | float, Array]:
        """Return the density, by its root where the other number is there: as of twice the variance."""
        right, wrong, gap = super().density(world, found)
        if world.case.answer(self.beside) is None:
            return right, wrong, gap
        root = np.sqrt(right + wrong)
        return right / root, wrong / root, gap / np.sqrt(2)


def _blur(world: World) -> float:
    return BLUR.get(str(world.case.value("bench.bottoming.mark_from")), 1.0)


def _short_of_the_mark(world: World) -> Array:
    """Stroke left to the mark: of the papers' stroke, or of the legs pushed together with the springs out.

    It is read at the end itself, so a reading that began at the wrong place does not touch it.
    """
    found = world.case.value("bench.bottoming.mark_from") == "springs out"
    return np.asarray(world.stroke - (world.lost if found else 0.0) - world.ride_stroke)


def _reached(world: World) -> dict[str, Array]:
    left, blur = _short_of_the_mark(world), _blur(world) * MM
    untouched, at_mark = sigmoid((left - PUTTY) / (2 * blur)), sigmoid((3 * MM - left) / (1.5 * blur))
    past = sigmoid((-4 * MM - left) / (2 * blur))
    return {"untouched": untouched + 0.01, "reached": at_mark * (1 - past) + 0.01, "past": past + 0.01,
            "part way": np.maximum(1 - untouched - at_mark, 0.0) + 0.02}


def _came_out(side: str) -> Callable[[World], Array]:
    """Oil that comes out of a leg that is drained and pumped through."""
    def predict(world: World) -> Array:
        book = world.inputs.leg(side).volume_book
        return oil.CAME_OUT["pumped"][0] * ((book.value if book else USUAL_AMOUNT) + world.excess[side])
    return predict


def _off(side: str) -> Callable[[World], Array | float]:
    def off(world: World) -> Array | float:
        book = world.inputs.leg(side).volume_book
        return float(np.hypot(0.016 * USUAL_AMOUNT, book.sd)) if book else 90 * ML
    return off


END_READINGS: tuple[Reading, ...] = (
    SecondReading("bench.bottoming.unused_mm", "bottoming", say("Stroke left unused, up to the mark"),
                  known("bench.bottoming.unused_mm"), lambda w: np.maximum(_short_of_the_mark(w), 0.0),
                  lambda w: 3 * MM * _blur(w), 3 * MM, 250 * MM, beside="bench.travel.used_mm"),
    Reading("bench.drain.left_out_ml", "drain", say("Oil that comes out of the left leg"),
            known("bench.drain.left_out_ml"), _came_out("left"), _off("left"), 5 * ML, 600 * ML, is_label=True),
    Reading("bench.drain.right_out_ml", "drain", say("Oil that comes out of the right leg"),
            known("bench.drain.right_out_ml"), _came_out("right"), _off("right"), 5 * ML, 600 * ML, is_label=True),
)
END_ANSWERS: tuple[Answered, ...] = (
    Answered("bench.bottoming.reached", "bottoming", say("Putty at the mark of the full stroke"), "end", _reached),
)
