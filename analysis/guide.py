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
FARTHEST = 30.0
"""A reading further from a draw than this, in standard deviations, is taken as so far: few draws would outweigh all."""
FURTHEST_BELL = 10.0
"""No bell is further than this from the story's middle: forks out there are rarer than many plainly wrong readings."""
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


def covariance(one: Array, other: Array) -> Array:
    """Return ``one @ other.T``, some columns at a time."""
    out: Array = np.zeros((len(one), len(other)))
    for start in range(0, one.shape[1], AT_ONCE):
        out += one[:, start:start + AT_ONCE] @ other[:, start:start + AT_ONCE].T
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


def guide_from(normals: Array, log_weight: Array, gaps: Array) -> Guide:
    """Return the bell that one cause's weighed draws show; one row a normal or a reading, one column a draw.

    Where the evidence had to be softened to a power p, the rest is put in through the readings' gaps g, in standard
    deviations, as if they were straight in the normals.  With the gaps' mean ḡ and covariance G, and the covariance C
    of normals and gaps, gain K = C (G + I/(1 − p))⁻¹: mean − K ḡ, covariance − K Cᵀ (Kalman 1960; from draws: Evensen
    1994).  So a bell gets where the evidence points although no draw has been there yet.
    """
    seen = _telling(normals, log_weight, ENOUGH)
    gaps = np.clip(gaps[:, seen.kept], -FARTHEST, FARTHEST)
    middle, left = _mean(gaps, seen.weight), 1 - seen.power
    gaps_apart = (gaps - middle[:, None]) * np.sqrt(seen.weight)
    together, gaps_spread = covariance(seen.apart, gaps_apart), covariance(gaps_apart, gaps_apart)
    moved = seen.moved
    if left:
        clear = CLEAR * np.sqrt(np.outer(seen.variance, np.diag(gaps_spread)) / seen.counted)
        moved = moved | (np.abs(together) > clear).any(axis=1)
    rows = np.flatnonzero(moved)
    gain = np.linalg.solve(left * gaps_spread + np.eye(len(gaps)), left * together[rows].T).T
    spread = covariance(seen.apart[rows], seen.apart[rows]) - gain @ together[rows].T
    believed = seen.counted / (seen.counted + 2 * rows.size + 1)
    spread = believed * spread + (1 - believed) * np.diag(np.diag(spread)) + NARROWEST * np.eye(rows.size)
    mean = seen.mean[rows] - gain @ middle
    mean *= min(1.0, FURTHEST_BELL / max(float(np.linalg.norm(mean)), 1e-9))
    return Guide(rows, mean, np.asarray(np.linalg.cholesky(spread), dtype=np.float64))


def upright_guide_from(normals: Array, log_weight: Array) -> Guide:
    """Return the bell that the weighed draws of all causes show, each normal by itself."""
    seen = _telling(normals, log_weight, ENOUGH_FOR_ALL)
    rows = np.flatnonzero(seen.moved)
    return Guide(rows, seen.mean[rows], np.asarray(np.sqrt(np.diag(seen.variance[rows] + NARROWEST))))


@dataclass(frozen=True)
class _Telling:
    """The draws that count, by their columns, under evidence that is softened to a power until enough do."""

    kept: Rows
    weight: Array
    counted: float
    power: float
    mean: Array
    apart: Array
    """Normals from their mean, times the root of the draw's weight."""
    variance: Array

    @property
    def moved(self) -> NDArray[np.bool_]:
        """Which normals the evidence moved."""
        return np.asarray((np.abs(self.mean) > CLEAR / np.sqrt(self.counted))
                          | (np.abs(self.variance - 1) > CLEAR * np.sqrt(2 / self.counted)))


def _telling(normals: Array, log_weight: Array, enough: float) -> _Telling:
    all_weights, power = _softened(log_weight, enough)
    kept = np.flatnonzero(all_weights > HARDLY_COUNTS / all_weights.size)
    weight = all_weights[kept] / all_weights[kept].sum()
    normals = normals[:, kept]
    mean = _mean(normals, weight)
    apart = (normals - mean[:, None]) * np.sqrt(weight)
    return _Telling(kept, weight, float(1 / np.einsum("i,i->", weight, weight)), power, mean, apart,
                    np.einsum("ij,ij->i", apart, apart))


def _mean(rows: Array, weight: Array) -> Array:
    return np.asarray(np.einsum("ij,j->i", rows, weight), dtype=np.float64)


def _softened(log_weight: Array, enough: float) -> tuple[Array, float]:
    """Return normalised weights, taken to a power so that enough draws count, and that power."""
    finite = np.isfinite(log_weight)
    if not finite.any():
        return np.full(log_weight.size, 1 / log_weight.size), 1.0
    shifted = np.where(finite, log_weight - log_weight[finite].max(), -np.inf)
    wanted, power = min(enough, 0.5 * float(finite.sum())), 1.0
    while True:
        weight = np.exp(power * shifted)
        weight /= weight.sum()
        if 1 / np.einsum("i,i->", weight, weight) >= wanted or power < 0.01:
            return np.asarray(weight), power
        power *= 0.8
