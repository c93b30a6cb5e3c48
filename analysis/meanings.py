"""What each answer of a test would mean: the cause that it would put first."""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.catalogue import QUESTIONS
from analysis.observing import Answered, Reading
from analysis.unit_names import WANTED
from analysis.units import from_si
from analysis.world import World

Array = NDArray[np.float64]

HARDLY = 0.03
"""An answer that is less likely than this is not worth a line."""
BANDS = (0.3, 0.7)
"""Where the numbers that a reading may give are parted into low, middling and high."""


@dataclass(frozen=True)
class Meant:
    """One answer, and the cause that leads where it is given; a number has ends in its unit in place of an answer."""

    title: str
    answer: str
    low: float | None
    high: float | None
    unit: str
    chance: float
    cause: str
    probability: float


def meanings(world: World, entries: Sequence[Reading | Answered]) -> tuple[Meant, ...]:
    """Return what each answer would mean, over draws that stand for what is known so far."""
    return tuple(meant for entry in entries for meant in (
        _answers(world, entry) if isinstance(entry, Answered) else _readings(world, entry)))


def _answers(world: World, entry: Answered) -> Iterator[Meant]:
    titles = {choice.value: choice.title for choice in QUESTIONS[entry.path].choices}
    for value, chances in entry.probabilities(world).items():
        weights = np.broadcast_to(np.asarray(chances, dtype=float), (world.size,))
        if weights.mean() >= HARDLY:
            yield Meant(entry.title, titles.get(value, value), None, None, "", *_leader(world, weights))


def _readings(world: World, entry: Reading) -> Iterator[Meant]:
    predicted, unit = np.asarray(entry.predict(world), dtype=float), QUESTIONS[entry.path].unit
    digits = 1 if unit in ("s", "bar") else 0
    low, high = (float(end) for end in np.quantile(predicted, BANDS))
    ends = tuple(round(from_si(end, unit), digits) for end in (low, high))
    if not ends[0] < ends[1]:
        return
    parts: list[tuple[NDArray[np.bool_], float | None, float | None]] = [
        (predicted < low, None, ends[0]), ((predicted >= low) & (predicted < high), ends[0], ends[1]),
        (predicted >= high, ends[1], None)]
    for inside, start, end in parts:
        if inside.mean() >= HARDLY:
            yield Meant(entry.title, "", start, end, WANTED[unit].symbol, *_leader(world, inside.astype(float)))


def _leader(world: World, weights: Array) -> tuple[float, str, float]:
    share = np.bincount(world.cause_index, weights, len(world.causes))
    best = int(np.argmax(share))
    return (round(float(weights.mean()), 3), world.causes[best].title, round(float(share[best] / share.sum()), 3))
