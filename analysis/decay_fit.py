"""Fitting the three models of a bounce - damping, friction, both - and weighing them against each other."""
from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.stats import t as student

from analysis.decay import Interval, Model, Refused, friction_share
from analysis.say import say

Array = NDArray[np.float64]

LIMITS: dict[str, tuple[float, float]] = {"zeta": (-0.3, 0.97)}
"""Outside them the formulas of a swing hold no longer.  Below zero so that a growing motion can show itself."""
SURE = 2.0
"""A difference of BIC that counts: below it the simpler model stands (Kass and Raftery 1995, from memory)."""
NOTHING_LEFT = 1e-12
"""A remainder in m that is rounding and nothing else."""


@dataclass(frozen=True)
class Fit:
    """One fitted model: parameters by name, their covariance (in the order of ``free``), and how well it fits."""

    values: Mapping[str, float]
    free: tuple[str, ...]
    covariance: Array
    residual: Array
    known_sd: bool
    quantile: float

    def interval(self, of: Callable[[Mapping[str, float]], float]) -> Interval:
        """Return the 95 % interval of a function of the parameters, to first order."""
        middle = of(self.values)
        slope = np.array([self._slope(of, name, i) for i, name in enumerate(self.free)])
        half = self.quantile * math.sqrt(max(float(slope @ self.covariance @ slope), 0.0))
        return Interval(middle, middle - half, middle + half)

    def _slope(self, of: Callable[[Mapping[str, float]], float], name: str, i: int) -> float:
        # A step well inside the spread: the function is as straight there as the interval takes it to be.
        step = 1e-3 * math.sqrt(max(float(self.covariance[i, i]), 0.0)) or 1e-9 * max(abs(self.values[name]), 1e-6)
        up, down = ({**self.values, name: self.values[name] + sign * step} for sign in (1, -1))
        return (of(up) - of(down)) / (2 * step)


def fit(misfit: Callable[[Mapping[str, float]], Array], start: Mapping[str, float], free: Sequence[str],
        scale: Mapping[str, float], known_sd: bool) -> Fit:
    """Return the least-squares fit of the ``free`` parameters from ``start``; the others stay.

    ``misfit`` gives the remainders; with ``known_sd`` each is already divided by its standard deviation, otherwise
    their spread is taken from the fit, and widened where neighbours hang together (first-order autocorrelation), as
    they do where the model is not the whole truth.
    """
    names = tuple(free)
    scales = np.array([scale[name] for name in names])
    low, high = (np.array([LIMITS.get(n, (-math.inf, math.inf))[end] for n in names]) / scales for end in (0, 1))
    first = np.clip(np.array([start[name] for name in names]) / scales, low + 1e-6, high - 1e-6)

    def filled(x: Array) -> dict[str, float]:
        return {**start, **dict(zip(names, (x * scales).tolist(), strict=True))}

    found = least_squares(lambda x: misfit(filled(x)), first, bounds=(low, high), x_scale="jac", max_nfev=200)
    residual = np.asarray(found.fun, dtype=float)
    inverse = np.linalg.pinv(found.jac.T @ found.jac) * np.outer(scales, scales)
    variance, quantile = _spread(residual, len(names), known_sd)
    return Fit(filled(found.x), names, inverse * variance, residual, known_sd, quantile)


def _spread(residual: Array, count: int, known_sd: bool) -> tuple[float, float]:
    """Return the variance of one remainder and the 97.5 % quantile that goes with it."""
    if known_sd:
        return 1.0, 1.96
    effective = _effective(residual, count)
    variance = float(residual @ residual) / max(residual.size - count, 1) * residual.size / effective
    return variance, float(student.ppf(0.975, max(effective - count, 1.0)))


def _effective(residual: Array, count: int) -> float:
    """Return how many independent remainders these are worth: ``n (1 − ρ)/(1 + ρ)``."""
    alike = _held_together(residual)
    return max(residual.size * (1 - alike) / (1 + alike), count + 1.0)


def evidence(fits: Mapping[Model, Fit]) -> dict[Model, float]:
    """Return each model's Bayesian information criterion; the smaller the better.

    ``χ² + p ln n`` where the spread of the readings is known, ``n ln(RSS/n) + p ln n`` where it is not, with the
    number of independent remainders of the fullest fit for all, so that they can be compared.
    """
    full = fits.get("both", fits["viscous"])
    n = _effective(full.residual, len(full.free))
    return {name: _criterion(made, n) for name, made in fits.items()}


def _criterion(made: Fit, n: float) -> float:
    square, count = float(made.residual @ made.residual), len(made.free)
    if made.known_sd:
        return square + count * math.log(made.residual.size)
    return n * math.log(max(square / made.residual.size, NOTHING_LEFT**2)) + count * math.log(n)


def _held_together(residual: Array) -> float:
    """Return the correlation of neighbouring remainders, 0 to 0.9; 0 for records too short to show one."""
    if residual.size < 20 or float(residual @ residual) <= 0:
        return 0.0
    return float(np.clip(residual[1:] @ residual[:-1] / (residual @ residual), 0.0, 0.9))


def plainest(weights: Mapping[Model, float]) -> Model:
    """Return the model with the best BIC; the one with both losses only where it is better by more than ``SURE``."""
    order: tuple[Model, ...] = ("viscous", "friction", "both")
    return min((name for name in order if name in weights),
               key=lambda name: weights[name] + (SURE if name == "both" else 0.0))


def friction_of(chosen: Fit) -> Interval:
    """Return the friction ``F/k`` in m, none below zero."""
    raw = chosen.interval(lambda v: v["friction"])
    return Interval(max(raw.value, 0.0), max(raw.low, 0.0), max(raw.high, 0.0))


def ratio_of(chosen: Fit) -> Interval:
    """Return the damping ratio, between 0 and 1."""
    raw = chosen.interval(lambda v: v["zeta"])
    return Interval(*(min(max(z, 0.0), 1.0) for z in (raw.value, raw.low, raw.high)))


def friction_verdict(fits: Mapping[Model, Fit], weights: Mapping[Model, float], swings: int) -> Refused | None:
    """Return the refusal where friction, not damping, is what stops the bounce; None where it does not.

    Two things have to be true: friction alone explains the record better than damping alone does, and in the best
    description that has both, friction takes more than half of the height.
    """
    if "friction" not in fits or weights["friction"] > weights["viscous"] - SURE:
        return None
    best = fits.get("both", fits["friction"])
    values = best.values
    share = friction_share(abs(values["height"]), max(values["zeta"], 0.0), max(values["friction"], 0.0), swings)
    if share <= 0.5:
        return None
    rubbing = friction_of(best)
    return Refused("friction dominates", (
        say("The swings shrink by about the same length each time ({value} mm), as they do where friction stops "
            "them; damping would take the same share each time. Free the fork first - alignment, seals, bushes - "
            "and then do the bounce again.", value=f"{2000.0 * rubbing.value:.1f}")), rubbing)
