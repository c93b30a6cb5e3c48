"""How the bike stands: rake, trail and height with both sags and the fork's height in the yokes, and what brakes do.

Floats or numpy arrays; m, rad, kg; braking in g.  Wheels of equal radius are taken for the pitch of the frame.
"""
from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.chassis import normal_trail, rake_after, trail, wheelbase_after
from analysis.shapes import Real, plain


@dataclass(frozen=True)
class Frame:
    """A bike's geometry at full extension of both ends, as papers have it; ``radius`` of the front wheel with tyre."""

    rake: Real
    offset: Real
    radius: Real
    wheelbase: Real


@dataclass(frozen=True)
class Stand:
    """How it stands: fork stroke, tubes pushed up through the yokes, and how far the rear has sunk, m."""

    fork: Real = 0.0
    raised: Real = 0.0
    rear: Real = 0.0

    @property
    def front(self) -> Real:
        """How far the front axle has moved along the fork, m: raising the tubes is as good as stroke."""
        return self.fork + self.raised


@dataclass(frozen=True)
class Attitude:
    """Rake in rad; trail, normal trail and wheelbase in m."""

    rake: Real
    trail: Real
    normal_trail: Real
    wheelbase: Real


def attitude(frame: Frame, stand: Stand) -> Attitude:
    """Return rake, trail, normal trail and wheelbase of a bike as it stands."""
    rake = rake_after(frame.rake, frame.wheelbase, stand.front, stand.rear)
    base = wheelbase_after(frame.rake, frame.wheelbase, stand.front, stand.rear)
    return Attitude(plain(np.asarray(rake)), plain(np.asarray(trail(frame.radius, rake, frame.offset))),
                    plain(np.asarray(normal_trail(frame.radius, rake, frame.offset))), plain(np.asarray(base)))


def effect(frame: Frame, stand: Stand, *, fork: Real = 0.0, raised: Real = 0.0, rear: Real = 0.0) -> Attitude:
    """Return by how much each figure moves when the fork sinks, its tubes are raised or the rear sinks further, m."""
    before = attitude(frame, stand)
    after = attitude(frame, replace(stand, fork=stand.fork + fork, raised=stand.raised + raised,
                                    rear=stand.rear + rear))
    return Attitude(after.rake - before.rake, after.trail - before.trail,
                    after.normal_trail - before.normal_trail, after.wheelbase - before.wheelbase)


def height_after(height: Real, front_share: Real, frame: Frame, stand: Stand) -> Real:
    """Return the height of the centre of gravity (m) once the bike has sunk; the wheels' own mass sinks with it here.

    It falls by what the frame falls above each axle, shared out as the weight is: ``h − (f x cos ε + (1 − f) z)``.
    """
    return height - (front_share * stand.front * np.cos(frame.rake) + (1 - front_share) * stand.rear)


def load_transfer(mass: Real, braking: Real, height: Real, wheelbase: Real) -> Real:
    """Return the load in kg that braking moves from the rear wheel to the front: ``M a h/b``, a in g."""
    return mass * braking * height / wheelbase


def rear_lifts_at(front_share: Real, height: Real, wheelbase: Real) -> Real:
    """Return the braking in g at which the rear wheel carries nothing: ``(1 − f) b/h``, f the front's share at rest."""
    return (1 - front_share) * wheelbase / height


def front_skids_at(front_share: Real, height: Real, wheelbase: Real, grip: Real) -> Real:
    """Return the braking in g at which the front wheel alone, braked, slides: ``μ f/(1 − μ h/b)``.

    Infinite where load comes onto the wheel faster than its grip is used up; the rear lifts long before.
    """
    left = 1 - np.asarray(grip * height / wheelbase)
    return plain(np.where(left > 0, grip * front_share / np.where(left > 0, left, 1.0), np.inf))


def braking_limit(front_share: float, height: float, wheelbase: float, grip: float) -> tuple[float, str]:
    """Return the hardest braking with the front brake in g, and what ends it: 'rear lifts' or 'front slides'."""
    lifts = float(rear_lifts_at(front_share, height, wheelbase))
    slides = float(front_skids_at(front_share, height, wheelbase, grip))
    return (lifts, "rear lifts") if lifts <= slides else (slides, "front slides")
