"""Steering geometry: trail, and what fork stroke and rear sag do to it.

Plain floats or numpy arrays that broadcast; m and rad.  Rake is the angle of the steering axis from upright.
"""
from __future__ import annotations

import numpy as np

from analysis.shapes import Real


def normal_trail(radius: Real, rake: Real, offset: Real) -> Real:
    """Return the distance in m from the tyre's contact to the steering axis, square to it: ``R sin ε − offset``."""
    return radius * np.sin(rake) - offset


def trail(radius: Real, rake: Real, offset: Real) -> Real:
    """Return the trail along the ground in m: ``(R sin ε − offset)/cos ε``; negative where the wheel leads the axis.

    Source: Meijaard, Papadopoulos, Ruina, Schwab 2007, geometry of the front assembly.
    """
    return normal_trail(radius, rake, offset) / np.cos(rake)


def pitch(rake: Real, wheelbase: Real, front_stroke: Real, rear_drop: Real = 0.0) -> Real:
    """Return how far in rad the frame tips nose down from where it was measured.

    The front axle moves by ``front_stroke`` (m) along the fork, the rear of the frame sinks by ``rear_drop`` (m);
    wheels of equal radius: ``atan2(x cos ε − z, b − x sin ε)``.
    """
    rise = front_stroke * np.cos(rake) - rear_drop
    return np.arctan2(rise, wheelbase - front_stroke * np.sin(rake))


def rake_after(rake: Real, wheelbase: Real, front_stroke: Real, rear_drop: Real = 0.0) -> Real:
    """Return the rake in rad after that movement: it falls by the pitch, so a dipping front steers quicker."""
    return rake - pitch(rake, wheelbase, front_stroke, rear_drop)


def wheelbase_after(rake: Real, wheelbase: Real, front_stroke: Real, rear_drop: Real = 0.0) -> Real:
    """Return the wheelbase in m after that movement."""
    rise = front_stroke * np.cos(rake) - rear_drop
    return np.hypot(rise, wheelbase - front_stroke * np.sin(rake))
