"""Draws that go where the evidence points: scouts find where a story's likely forks lie, the next are drawn there.

Every drawn quantity comes from a standard normal.  Scouts take them as they come; once weighed they show, cause by
cause, which normals the evidence moved, and where to.  The next draws are taken from there, each with a weight that
puts the story's own odds back in.  A share of the draws stays as the story has it, so that none weighs much more than
it did.
"""
from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri
from scipy.stats import qmc

Array = NDArray[np.float64]
Rows = NDArray[np.intp]
Counts = NDArray[np.int64]

LED = 0.85
"""Share of the draws that follow the guide."""
ENOUGH = 80.0
"""Scouts of a cause that have to count: the evidence is softened until so many do."""
EVENLY = 0.25
"""Share of the draws that every cause gets alike, likely or not."""
CLEAR = 2.2
"""A normal was moved where its mean or variance is off by this many of their sampling errors."""


@dataclass(frozen=True)
class Guide:
    """For one cause the normals that the evidence moved, their mean, and the lower root of their covariance."""

    moved: Rows
    mean: Array
    root: Array


class Normals:
    """A generator whose standard normals follow guides; ``log_weight`` puts the odds right again, for each draw.

    ``counts``: draws of each cause.  ``drawn``: the normals given so far, one row a normal.
    """

    def __init__(self, rng: np.random.Generator, counts: Counts) -> None:
        self.counts, self.drawn = counts, list[Array]()
        self.log_weight: Array = np.zeros(int(counts.sum()))
        self._rng, self._next = rng, 0

    def led(self, rng: np.random.Generator, counts: Counts, guides: Sequence[Guide]) -> Normals:
        """Return as many normals as were drawn here, but spread evenly (Sobol) and led by a guide for each cause."""
        new, normals = Normals(rng, counts), len(self.drawn)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # a number of draws that is no power of two is well enough
            even = qmc.Sobol(normals + 1, rng=rng).random(int(counts.sum())).T
        new.drawn = list(ndtri(np.clip(even[:-1], 1e-12, 1 - 1e-12)))
        led, ends = even[-1] < LED, np.cumsum(counts)
        for guide, end, count in zip(guides, ends, counts, strict=True):
            new._lead(guide, slice(end - count, end), led[end - count:end])
        return new

    def _lead(self, guide: Guide, rows: slice, led: NDArray[np.bool_]) -> None:
        """Move the led ones of a cause's draws, and weigh all of them: the story's density over the mixture's."""
        if not guide.moved.size:
            return
        own = np.array([self.drawn[normal][rows] for normal in guide.moved])
        own[:, led] = guide.mean[:, None] + guide.root @ own[:, led]
        back = np.linalg.inv(guide.root) @ (own - guide.mean[:, None])
        log_story = -0.5 * np.square(own).sum(axis=0)
        log_led = -0.5 * np.square(back).sum(axis=0) - np.log(np.diag(guide.root)).sum()
        self.log_weight[rows] = log_story - np.logaddexp(np.log(LED) + log_led, np.log(1 - LED) + log_story)
        for normal, values in zip(guide.moved, own, strict=True):
            self.drawn[normal][rows] = values

    def standard_normal(self, size: int) -> Array:
        """Return the next normal of every draw."""
        if self._next == len(self.drawn):
            self.drawn.append(self._rng.standard_normal(size))
        self._next += 1
        return self.drawn[self._next - 1]

    def random(self, size: int) -> Array:
        """Return even numbers from 0 to 1, which a guide leads like any other."""
        return np.asarray(ndtr(self.standard_normal(size)))


def guide_from(normals: Array, log_weight: Array) -> Guide:
    """Return the guide that one cause's weighed draws give; ``normals``: one row a normal, one column a draw."""
    weight = _softened(log_weight)
    counted = 1 / np.square(weight).sum()
    mean = normals @ weight
    variance = np.square(normals) @ weight - np.square(mean)
    moved = np.flatnonzero((np.abs(mean) > CLEAR / np.sqrt(counted))
                           | (np.abs(variance - 1) > CLEAR * np.sqrt(2 / counted)))
    apart = normals[moved] - mean[moved, None]
    spread = (apart * weight) @ apart.T
    believed = counted / (counted + 2 * moved.size + 1)
    spread = believed * spread + (1 - believed) * np.diag(variance[moved]) + 0.03 * np.eye(moved.size)
    return Guide(moved, mean[moved], np.linalg.cholesky(spread))


def _softened(log_weight: Array) -> Array:
    """Return normalised weights, taken to a power so that enough draws count."""
    finite = np.isfinite(log_weight)
    if not finite.any():
        return np.full(log_weight.size, 1 / log_weight.size)
    shifted = np.where(finite, log_weight - log_weight[finite].max(), -np.inf)
    wanted, power = min(ENOUGH, 0.5 * float(finite.sum())), 1.0
    while True:
        weight = np.exp(power * shifted)
        weight /= weight.sum()
        if power < 0.01 or 1 / np.square(weight).sum() >= wanted:
            return np.asarray(weight)
        power *= 0.75
