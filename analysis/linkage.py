"""How far a shock moves for a wheel's travel: from a table, a polynomial, a constant ratio, or an arm's geometry.

Wheel travel ``z`` and shock stroke ``s`` count from full extension, m; ``z`` is upright.  The motion ratio here is
``MR = ds/dz``, shock over wheel, so it is below 1 on most bikes.  Plain floats or numpy arrays.
"""
from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite, sin

import numpy as np
from numpy.polynomial import Polynomial
from scipy.interpolate import PchipInterpolator

from analysis.say import say
from analysis.shapes import Real, plain

Curve = Callable[[Real], Real]
CHECKED_AT = 201
"""Points at which a linkage is looked at before it is trusted."""
LEAST_POINTS = 3
STEEPEST = 1.5
"""Above this a shock would move half as far again as its wheel: no bike is built so, common practice, no source."""


class LinkageProblem(ValueError):
    """A linkage that cannot be: what is wrong, and what to do about it."""

    def __init__(self, problem: str, mend: str) -> None:
        super().__init__(f"{problem}. {mend}")
        self.problem, self.mend = problem, mend


@dataclass(frozen=True)
class Linkage:
    """Shock stroke s(z) in m, motion ratio ds/dz, and its change d²s/dz² in 1/m, up to a wheel travel in m."""

    stroke: Curve
    ratio: Curve
    bend: Curve
    travel: float


@dataclass(frozen=True)
class Arm:
    """A single shock between frame and swinging arm.  x runs forward, y up, from the arm's pivot; m and rad.

    ``length`` pivot to axle; the shock's lower end stands ``along`` the arm and ``above`` its line; ``top_x`` and
    ``top_y`` its upper end on the frame; ``droop`` how far the arm hangs below level at full extension.
    """

    length: float
    along: float
    top_x: float
    top_y: float
    droop: float
    above: float = 0.0


def constant_linkage(ratio: float, travel: float) -> Linkage:
    """Return the linkage of one ratio (shock over wheel) all the way, ``travel`` in m."""
    return polynomial_linkage((0.0, ratio), travel)


def polynomial_linkage(coefficients: Sequence[float], travel: float) -> Linkage:
    """Return the linkage ``s = c₀ + c₁ z + c₂ z² + …`` (m); raises LinkageProblem unless s rises from 0."""
    curve = Polynomial(np.asarray(coefficients, dtype=float))
    return _checked(Linkage(_called(curve), _called(curve.deriv()), _called(curve.deriv(2)), travel))


def table_linkage(wheel: Sequence[float], shock: Sequence[float]) -> Linkage:
    """Return the linkage through measured pairs of wheel travel and shock stroke, m, both from full extension.

    A cubic that keeps the rise of its points (Fritsch and Butland 1984, ``scipy.interpolate.PchipInterpolator``): the
    ratio is continuous, its change jumps at the points, so a wheel rate between few points is rough.
    Raises LinkageProblem for fewer than three pairs, a start other than 0 : 0, or numbers that do not rise.
    """
    z, s = np.asarray(wheel, dtype=float), np.asarray(shock, dtype=float)
    if z.size != s.size or z.size < LEAST_POINTS:
        raise LinkageProblem(say("a linkage needs {least} pairs at least", least=LEAST_POINTS),
                             say("Measure a few more places."))
    if not (np.all(np.isfinite(z)) and np.all(np.isfinite(s))):
        raise LinkageProblem(say("a pair holds something that is no number"), say("Check the pairs."))
    if z[0] != 0 or s[0] != 0:
        raise LinkageProblem(say("the first pair is not 0:0"), say("Count both from full extension, wheel hanging."))
    for name, values in ((say("wheel travel"), z), (say("shock stroke"), s)):
        wrong = np.flatnonzero(np.diff(values) <= 0)
        if wrong.size:
            raise LinkageProblem(say("the {name} does not rise from pair {first} to pair {second}", name=name,
                                     first=int(wrong[0]) + 1, second=int(wrong[0]) + 2),
                                 say("Put the pairs in the order of rising travel, and check these two."))
    curve = PchipInterpolator(z, s)
    return _checked(Linkage(_called(curve), _called(curve.derivative()), _called(curve.derivative(2)), float(z[-1])))


def arm_linkage(arm: Arm, travel: float) -> Linkage:
    """Return the linkage of a direct shock on an arm; raises LinkageProblem where the arm cannot travel so far.

    With the arm's angle θ from level, ``z = L (sin θ − sin θ₀)`` and ``s = ℓ(θ₀) − ℓ(θ)``, ℓ the shock's length.
    """
    reach = travel / arm.length - sin(arm.droop) if arm.length > 0 else 1.0
    if not (abs(reach) < 1 and abs(sin(arm.droop)) < 1):
        raise LinkageProblem(say("an arm of this length cannot reach that wheel travel"),
                             say("Check arm length, droop and travel."))
    full = _length(arm, np.asarray(-arm.droop))
    return _checked(Linkage(
        stroke=lambda z: plain(full - _length(arm, _angle(arm, z))),
        ratio=lambda z: plain(_turning(arm, _angle(arm, z))[0]),
        bend=lambda z: plain(_turning(arm, _angle(arm, z))[1]), travel=travel))


def wheel_travel_at(linkage: Linkage, stroke: Real) -> Real:
    """Return the wheel travel (m) at which the shock has moved by ``stroke`` (m); the full travel where it never does.

    s(z) rises, so halving the travel finds it; 60 halvings are beyond what a float can tell apart.
    """
    reached = np.asarray(linkage.stroke(linkage.travel)) <= stroke
    if np.all(reached):
        return plain(np.full(np.shape(stroke), linkage.travel))
    low: Real = np.zeros(np.shape(stroke))
    high: Real = np.full(np.shape(stroke), linkage.travel)
    for _ in range(60):
        middle = 0.5 * (low + high)
        beyond = np.asarray(linkage.stroke(middle)) > stroke
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    return plain(np.where(reached, linkage.travel, 0.5 * (low + high)))


def mean_ratio(linkage: Linkage) -> float:
    """Return shock stroke over wheel travel, whole stroke against whole travel."""
    return float(linkage.stroke(linkage.travel)) / linkage.travel


def _called(curve: Callable[[Real], object]) -> Curve:
    return lambda z: plain(np.asarray(curve(z), dtype=float))


def _angle(arm: Arm, z: Real) -> Real:
    return np.asarray(np.arcsin(np.asarray(z) / arm.length - sin(arm.droop)))


def _to_top(arm: Arm, angle: Real) -> tuple[Real, Real, Real, Real]:
    """The shock's lower end in x and y, and the way from there to its top."""
    x = -arm.along * np.cos(angle) + arm.above * np.sin(angle)
    y = arm.along * np.sin(angle) + arm.above * np.cos(angle)
    return x, y, arm.top_x - x, arm.top_y - y


def _length(arm: Arm, angle: Real) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    _, _, to_x, to_y = _to_top(arm, angle)
    return np.asarray(np.hypot(to_x, to_y))


def _turning(arm: Arm, angle: Real) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.float64]], ...]:
    """Motion ratio and its change with wheel travel, through the arm's angle.

    The lower end turns about the pivot: P' is P turned by a right angle, P'' = −P.  With q = (T − P)·P',
    s' = q/ℓ and s'' = ((T − P)·P'' − P'·P')/ℓ + q²/ℓ³; then z' = L cos θ carries both over to wheel travel.
    """
    x, y, to_x, to_y = _to_top(arm, angle)
    length = np.hypot(to_x, to_y)
    q = to_x * y - to_y * x
    first = q / length
    second = (-(to_x * x + to_y * y) - (x**2 + y**2)) / length + q**2 / length**3
    lift = arm.length * np.cos(angle)
    ratio = first / lift
    return np.asarray(ratio), np.asarray((second + ratio * arm.length * np.sin(angle)) / lift**2)


def _checked(linkage: Linkage) -> Linkage:
    """Return the linkage if its shock closes all the way; else say where it does not."""
    if not (isfinite(linkage.travel) and linkage.travel > 0):
        raise LinkageProblem(say("the wheel travel is not above 0"), say("Give the travel of the rear wheel."))
    z = np.linspace(0.0, linkage.travel, CHECKED_AT)
    ratio = np.asarray(linkage.ratio(z))
    stuck = np.flatnonzero(~(ratio > 0))
    if abs(float(linkage.stroke(0.0))) > 1e-9:
        raise LinkageProblem(say("the shock has moved before the wheel has"), say("Count both from full extension."))
    if stuck.size:
        raise LinkageProblem(say("at {z} mm of wheel travel the shock does not close any further",
                                 z=f"{z[stuck[0]] * 1000.0:.0f}"),
                             say("Check the numbers around there; a shock closes all the way."))
    if ratio.max() > STEEPEST:
        raise LinkageProblem(say("the shock would move much further than the wheel"),
                             say("Write wheel travel first and shock stroke second."))
    return linkage
