"""What an observation is: a number or an answer, and what a drawn fork says of it."""
from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.document import Case
from analysis.estimates import Estimate
from analysis.labels import DOUBT
from analysis.world import World

Array = NDArray[np.float64]
SOFTER = {"measured": 1.0, "documented": 1.0, "remembered": 0.5, "guessed": 0.25}
"""Power to which an answer's probability is taken, by how it is known: a guess widens, it never vanishes."""
SLIP = 0.03
"""Chance of a slip in any answer, so that nothing is ever ruled out by one tap."""


def sigmoid(x: Array) -> Array:
    """Return 1 / (1 + e⁻ˣ)."""
    return 1 / (1 + np.exp(-np.clip(x, -60, 60)))


# --- numbers ---------------------------------------------------------------------------------------------------

@dataclass(frozen=True)
class Reading:
    """A number: where it stands in the case, what a drawn fork predicts, and how far models of it are off (SI)."""

    path: str
    test: str
    title: str
    find: Callable[[Case], Estimate | None]
    predict: Callable[[World], Array]
    off_by: Callable[[World], Array | float]
    usual_sd: float
    """Standard deviation of a careful reading, for judging the test before it is done."""
    width: float
    """The range over which a plainly wrong number could lie."""
    is_label: bool = False
    """Its evidence is already counted where the hidden quantity is drawn."""

    def density(self, world: World, found: Estimate) -> tuple[Array, Array | float, Array]:
        """Return the reading's density for each draw where it is right, and where it is plainly wrong; times width.

        And how far it is from each draw's, in standard deviations.
        """
        doubt = DOUBT.get(found.known, 0.1)
        sd = np.sqrt(found.sd**2 + np.square(self.off_by(world)))
        gap = (found.value - self.predict(world)) / sd
        right = (1 - doubt) * np.exp(-0.5 * gap**2) / (np.sqrt(2 * np.pi) * sd) * self.width
        return right, doubt, gap


def known(path: str) -> Callable[[Case], Estimate | None]:
    """Return a finder for the number at a path; None where there is none."""
    def find(case: Case) -> Estimate | None:
        answer = case.answer(path)
        if answer is None or isinstance(answer.value, str | bool | tuple):
            return None
        return Estimate(float(answer.value), answer.sd, answer.known)
    return find


Chances = Callable[[World], Mapping[str, Array]]


@dataclass(frozen=True)
class Answered:
    """A choice: the weight of each answer for each draw.  Weights are normalised; 'cannot tell' says nothing.

    ``sees`` names the physics: of two answers that see the same, the weaker counts by its square root.
    """

    path: str
    test: str
    title: str
    sees: str
    weights: Chances

    def probabilities(self, world: World) -> dict[str, Array]:
        """Return each answer's probability for each draw, slips included."""
        weights = self.weights(world)
        total = sum(weights.values())
        return {name: (1 - SLIP) * weight / total + SLIP / len(weights) for name, weight in weights.items()}
