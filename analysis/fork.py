"""Two legs at one stroke: force, the stroke under a load, what ends it, and the loads a fork must carry."""
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.leg import PLAIN, Leg, Parts, leg_push, parts_push, spring_push
from analysis.shapes import Push, Real, plain

GRAVITY = 9.80665
"""Standard gravity, m/s² (exact by convention: 3rd CGPM, 1901)."""

QUICK_STEPS = 5
NEAR, NEAR_A_KINK = 5e-5, 1e-7
"""A step this short (m) has arrived.  Halley's steps leave about step³ / d², d being what is left to the lock."""
MOST = 0.5
"""Where more than this share is left open, picking it out costs more than another step of all."""
HALVINGS = 7
NEWTON_STEPS = 6


@dataclass(frozen=True)
class Fork:
    """Two legs that move together."""

    left: Leg
    right: Leg

    @property
    def end(self) -> Real:
        """The furthest both can go, m: one locked leg locks the fork."""
        return plain(np.asarray(np.minimum(self.left.end, self.right.end)))

    @property
    def lock(self) -> Real:
        """The stroke at which the first leg locks on oil, m; inf where neither does."""
        return plain(np.asarray(np.minimum(self.left.lock, self.right.lock)))

    @property
    def bind(self) -> Real:
        """The stroke at which the first spring's coils touch, m; inf where not known."""
        return plain(np.asarray(np.minimum(self.left.bind, self.right.bind)))


def fork_push(fork: Fork, x: Real, exponent: Real) -> Push:
    """Return force (N) and stiffness (N/m) of both legs at stroke x, without friction; +inf at or beyond lock."""
    left, right = leg_push(fork.left, x, exponent), leg_push(fork.right, x, exponent)
    return left[0] + right[0], left[1] + right[1]


def fork_force(fork: Fork, x: Real, exponent: Real) -> Real:
    """Return the force of both legs along the fork at stroke x, without friction, N; +inf at or beyond lock."""
    return fork_push(fork, x, exponent)[0]


def fork_stiffness(fork: Fork, x: Real, exponent: Real) -> Real:
    """Return dF/dx of both legs, N/m."""
    return fork_push(fork, x, exponent)[1]


def stroke_under(fork: Fork, load: Real, exponent: Real) -> Real:
    """Return the stroke at which the fork carries ``load`` (N along the fork), m.

    The force never falls with stroke, so the answer is unique: 0 where the fork carries the load fully extended, the
    end of its stroke where it cannot carry it at all.  Halley's steps from a near start find nearly all answers in two
    or three; what they leave open (a lock close by, a kink on the way) is found between brackets.
    """
    end = np.asarray(fork.end)
    shape = np.broadcast_shapes(end.shape, np.shape(load), np.shape(exponent))
    top = np.broadcast_to(end, shape).ravel()
    rows = np.arange(top.size)
    open_fork, open_load, open_exponent = (
        _flat(value, shape) for value in (fork, load, exponent))
    found = np.array(np.broadcast_to(_start(open_fork, open_load, open_exponent), top.shape))
    near = NEAR if _is_smooth(fork) else NEAR_A_KINK
    for _ in range(QUICK_STEPS):
        x = found[rows]
        better = np.clip(x + _halley(open_fork, x, open_load, open_exponent), 0.0, top[rows])
        found[rows] = better
        left = np.flatnonzero(~(np.abs(better - x) < near))
        if not left.size:
            return plain(found.reshape(shape))
        if left.size > MOST * rows.size:
            continue
        rows = rows[left]
        open_fork, open_load, open_exponent = (
            _taken(value, left) for value in (open_fork, open_load, open_exponent))
    found[rows] = _between_brackets(open_fork, open_load, open_exponent)
    return plain(found.reshape(shape))


def _is_smooth(fork: Fork) -> bool:
    """True where no spring comes under load on the way, and nothing else begins to push."""
    return all(leg.parts is PLAIN and bool(np.all(np.asarray(leg.preload) >= 0)) for leg in (fork.left, fork.right))


def _start(fork: Fork, load: Real, exponent: Real) -> NDArray[np.float64]:
    """Return about where the fork carries a load: the root of k x + n B x / (c − x) = load less the push at rest.

    All springs are taken as one, and so is the air: B the push of the closed air, c the stroke that uses it up.
    """
    legs = (fork.left, fork.right)
    rate = sum(np.asarray(leg.rate) for leg in legs)
    closed = [np.asarray(leg.closed_pressure * leg.seal_area) for leg in legs]
    rest = sum(p - leg.ride_pressure * leg.seal_area + leg.rate * np.maximum(leg.preload, 0.0)
               for p, leg in zip(closed, legs, strict=True))
    column = np.minimum(fork.left.air_extended / fork.left.seal_area, fork.right.air_extended / fork.right.seal_area)
    gap, air = np.maximum(load - rest, 0.0), exponent * sum(closed)
    linear = rate * column + gap + air
    root = np.sqrt(np.maximum(np.square(linear) - 4 * rate * gap * column, 0.0))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.clip(2 * gap * column / (linear + root), 0.0, np.maximum(fork.end, 0.0)))


def _halley(fork: Fork, x: Real, load: Real, exponent: Real) -> NDArray[np.float64]:
    """Return Halley's step towards the load; no number at or beyond a lock."""
    pushes = [_push_and_bend(leg, x, exponent) for leg in (fork.left, fork.right)]
    force, stiffness, bend = (first + second for first, second in zip(*pushes, strict=True))
    gap = load - force
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(gap / np.maximum(stiffness + 0.5 * gap * bend / stiffness, 0.3 * stiffness))


def _push_and_bend(leg: Leg, x: Real, exponent: Real) -> tuple[Real, Real, Real]:
    """Return force, stiffness, and the air's part of d²F/dx² (its parts bend little)."""
    with np.errstate(invalid="ignore", divide="ignore"):
        extended, area = leg.air_extended, leg.seal_area
        left = extended - area * x
        pressed = leg.closed_pressure * area * np.exp(exponent * np.log(extended / left))
        lever = area / left
    stiffness = exponent * pressed * lever
    other = spring_push(leg, x) if leg.parts is PLAIN else tuple(
        a + b for a, b in zip(spring_push(leg, x), parts_push(leg, x, exponent), strict=True))
    return (pressed - leg.ride_pressure * area + other[0], stiffness + other[1], (exponent + 1) * stiffness * lever)


def _between_brackets(fork: Fork, load: Real, exponent: Real) -> Real:
    """Bisection, then Newton steps that may not leave the bracket."""
    low: Real = np.zeros(np.broadcast(np.asarray(load), np.asarray(fork.end)).shape)
    high: Real = np.asarray(fork.end) + low
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        heavy = np.asarray(fork_force(fork, middle, exponent)) > load
        low, high = np.where(heavy, low, middle), np.where(heavy, middle, high)
    x = 0.5 * (low + high)
    for _ in range(NEWTON_STEPS):
        force, stiffness = fork_push(fork, x, exponent)
        gap = np.asarray(force) - load
        low, high = np.where(gap > 0, low, x), np.where(gap > 0, x, high)
        with np.errstate(invalid="ignore", divide="ignore"):
            step = x - gap / stiffness
        # A step that has arrived lies on the bracket's edge: it must be taken, or a half step throws it away.
        x = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
    return _at_the_ends(fork, x, load, exponent)


def _at_the_ends(fork: Fork, x: Real, load: Real, exponent: Real) -> Real:
    """Put the answer on the end of the stroke where the bracket closed in on it."""
    at_rest = np.asarray(fork_force(fork, 0.0, exponent)) >= load
    spent = np.asarray(fork_force(fork, fork.end, exponent)) <= load
    return np.where(at_rest, 0.0, np.where(spent, fork.end, x))


def _flat(value: Any, shape: tuple[int, ...]) -> Any:
    """Return a number, leg or fork with its arrays spread to ``shape`` and laid out in one row; single numbers stay."""
    def laid_out(array: Any) -> Any:
        done = len(shape) == 1 and np.shape(array) == shape
        return array if done else np.broadcast_to(array, shape).ravel()
    return _each(value, laid_out)


def _taken(value: Any, rows: NDArray[np.intp]) -> Any:
    """Return a number, leg or fork with only the given rows of its arrays."""
    return _each(value, lambda array: array[rows])


def _each(value: Any, change: Callable[[Any], Any]) -> Any:
    if isinstance(value, Fork | Leg | Parts):
        return type(value)(**{name: _each(part, change) for name, part in vars(value).items()}) \
            if value is not PLAIN else value
    if isinstance(value, tuple):
        return tuple(_each(part, change) for part in value)
    return value if value is None or np.ndim(value) == 0 else change(value)


def without_air(fork: Fork) -> Fork:
    """Return the fork with its air replaced by the open atmosphere: only springs carry."""
    def open_leg(leg: Leg) -> Leg:
        roomy = np.asarray(leg.seal_area * leg.stroke) * 1e9
        return replace(leg, air_compressed=roomy, closed_pressure=leg.ride_pressure)
    return Fork(open_leg(fork.left), open_leg(fork.right))


def limited_by(fork: Fork, load: float, exponent: float) -> str:
    """Name what ends the stroke under ``load``.

    'full stroke' and 'coil bind' where the fork gets there.  Otherwise the springs alone are asked: where most of the
    missing stroke stays missing without the air it is the 'spring'; else it is the air: 'hydraulic lock' where a leg
    has no air left at full stroke, 'air ramp' where it has.
    """
    stroke, end = float(np.min([fork.left.stroke, fork.right.stroke])), float(fork.end)
    reached = float(stroke_under(fork, load, exponent))
    if reached >= end - 1e-6 and not np.isfinite(fork.lock):
        return "full stroke" if end >= stroke - 1e-9 else "coil bind"
    if reached >= end - 1e-6 and float(fork.bind) <= float(fork.lock):
        return "coil bind"
    on_springs = float(stroke_under(without_air(fork), load, exponent))
    if on_springs - reached < 0.5 * (stroke - reached):
        return "spring"
    return "hydraulic lock" if np.isfinite(fork.lock) else "air ramp"


def static_load(sprung_mass: Real, rake: Real) -> Real:
    """Return the load along the fork of a sprung mass it carries at rest, m g cos ε, N (kg, rad)."""
    return plain(np.asarray(sprung_mass * GRAVITY * np.cos(rake)))


def braking_load(mass: Real, unsprung: Real, rake: Real, braking: Real) -> Real:
    """Return the load along the fork in hard braking, the whole mass on the front wheel, N.

    F = ((M − m_u) cos ε + M a sin ε) g, with M in kg, ε the rake in rad and a the braking in g.
    """
    along = (mass - unsprung) * np.cos(rake) + mass * braking * np.sin(rake)
    return plain(np.asarray(along * GRAVITY))
