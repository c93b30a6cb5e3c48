"""Where to draw next: the bell that weighed draws show.

Every drawn quantity comes from a standard normal.  Weighed draws show, cause by cause, which normals the evidence
moved, and where to.
"""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Array = NDArray[np.float64]
Rows = NDArray[np.intp]
Counts = NDArray[np.int64]

ENOUGH = 60.0
"""Draws of a cause that have to count: the evidence is softened until so many do."""
ENOUGH_FOR_ALL = 300.0
"""The same of the draws of all causes together."""
NARROWEST = 0.03
"""Variance that is added to every bell's: evidence seen by few draws looks sharper than it is."""
HARDLY_COUNTS = 0.01
"""Draws with less than this part of the mean weight teach nothing: all of them together hold less than a hundredth."""
CLEAR = 2.2
"""A normal was moved where its mean or variance is off by this many of their sampling errors."""
AT_ONCE = 400
"""Draws that go through one product of matrices: threads would share larger ones, which costs more than it saves."""


@dataclass(frozen=True)
class Guide:
    """A bell: the normals that the evidence moved, their mean, and the lower root of their covariance."""

    moved: Rows
    mean: Array
    root: Array

    def lead(self, normals: Array) -> None:
        """Take normals as they come, one row each, to where the bell has them."""
        normals[self.moved] = self.mean[:, None] + product(self.root, normals[self.moved])

    def over_story(self, normals: Array) -> Array:
        """Return the bell's density over that of normals as they come; one row a normal."""
        own = normals[self.moved]
        back = product(np.asarray(np.linalg.inv(self.root), dtype=np.float64), own - self.mean[:, None])
        return np.asarray(np.exp(0.5 * (np.einsum("ij,ij->j", own, own) - np.einsum("ij,ij->j", back, back)))
                          / np.prod(np.diag(self.root)))


def product(matrix: Array, columns: Array) -> Array:
    """Return ``matrix @ columns``, some columns at a time."""
    out: Array = np.empty((len(matrix), columns.shape[1]))
    for start in range(0, columns.shape[1], AT_ONCE):
        np.matmul(matrix, columns[:, start:start + AT_ONCE], out=out[:, start:start + AT_ONCE])
    return out


class Normals:
    """A generator whose standard normals are on record, or given beforehand; each cause has ``counts`` of them."""

    def __init__(self, rng: np.random.Generator, counts: Counts, drawn: Sequence[Array] | Array = ()) -> None:
        self.rng, self.counts, self.drawn, self._next = rng, counts, list(drawn), 0

    def standard_normal(self, size: int) -> Array:
        """Return the next normal of every draw."""
        if self._next == len(self.drawn):
            self.drawn.append(self.rng.standard_normal(size))
        self._next += 1
        normals: Array = self.drawn[self._next - 1]
        return normals

    def random(self, size: int) -> Array:
        """Return the next normal of every draw as a number from 0 to 1."""
        return np.asarray(ndtr(self.standard_normal(size)))


def guide_from(normals: Array, log_weight: Array) -> Guide:
    """Return the bell that one cause's weighed draws show; ``normals``: one row a normal, one column a draw."""
    weight, counted, moved, mean, variance = _moved(normals, log_weight, ENOUGH)
    kept = np.flatnonzero(weight > HARDLY_COUNTS / weight.size)
    apart = (normals[np.ix_(moved, kept)] - mean[:, None]) * np.sqrt(weight[kept])
    spread = apart @ apart.T
    believed = counted / (counted + 2 * moved.size + 1)
    spread = believed * spread + (1 - believed) * np.diag(variance) + NARROWEST * np.eye(moved.size)
    return Guide(moved, mean, np.asarray(np.linalg.cholesky(spread), dtype=np.float64))


def upright_guide_from(normals: Array, log_weight: Array) -> Guide:
    """Return the bell that the weighed draws of all causes show, each normal by itself."""
    _, _, moved, mean, variance = _moved(normals, log_weight, ENOUGH_FOR_ALL)
    return Guide(moved, mean, np.asarray(np.sqrt(np.diag(variance + NARROWEST))))


def _moved(normals: Array, log_weight: Array, enough: float) -> tuple[Array, float, Rows, Array, Array]:
    """Return weights, how many draws count, and which normals were moved with their mean and variance."""
    weight = _softened(log_weight, enough)
    counted = float(1 / np.einsum("i,i->", weight, weight))
    kept = np.flatnonzero(weight > HARDLY_COUNTS / weight.size)
    normals, weight_of = normals[:, kept], weight[kept]
    weighed = normals * weight_of
    mean = weighed.sum(axis=1)
    variance = np.einsum("ij,ij->i", weighed, normals) - np.square(mean)
    moved = np.flatnonzero((np.abs(mean) > CLEAR / np.sqrt(counted))
                           | (np.abs(variance - 1) > CLEAR * np.sqrt(2 / counted)))
    return weight, counted, moved, mean[moved], variance[moved]


def _softened(log_weight: Array, enough: float) -> Array:
    """Return normalised weights, taken to a power so that enough draws count."""
    finite = np.isfinite(log_weight)
    if not finite.any():
        return np.full(log_weight.size, 1 / log_weight.size)
    shifted = np.where(finite, log_weight - log_weight[finite].max(), -np.inf)
    wanted, power = min(enough, 0.5 * float(finite.sum())), 1.0
    while True:
        weight = np.exp(power * shifted)
        weight /= weight.sum()
        if 1 / np.einsum("i,i->", weight, weight) >= wanted or power < 0.01:
            return np.asarray(weight)
        power *= 0.8
