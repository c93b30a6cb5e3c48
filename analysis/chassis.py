"""Steering geometry: trail, and what fork stroke and rear sag do to it.

Plain floats or numpy arrays that broadcast; m and rad.  Rake is the angle of the steering axis from upright.
"""
from __future__ import annotations

import numpy as np

from analysis.air import Numbers


def normal_trail(radius: Numbers, rake: Numbers, offset: Numbers) -> Numbers:
    """Return the distance in m from the tyre's contact to the steering axis, square to it: ``R sin ε − offset``."""
    return radius * np.sin(rake) - offset


def trail(radius: Numbers, rake: Numbers, offset: Numbers) -> Numbers:
    """Return the trail along the ground in m: ``(R sin ε − offset)/cos ε``; negative where the wheel leads the axis.

    Source: Meijaard, Papadopoulos, Ruina, Schwab 2007, geometry of the front assembly.
    """
    return normal_trail(radius, rake, offset) / np.cos(rake)


def pitch(rake: Numbers, wheelbase: Numbers, front_stroke: Numbers, rear_drop: Numbers = 0.0) -> Numbers:
    """Return how far in rad the frame tips nose down from where it was measured.

    The front axle moves by ``front_stroke`` (m) along the fork, the rear of the frame sinks by ``rear_drop`` (m);
    wheels of equal radius: ``atan2(x cos ε − z, b − x sin ε)``.
    """
    rise = front_stroke * np.cos(rake) - rear_drop
    return np.arctan2(rise, wheelbase - front_stroke * np.sin(rake))


def rake_after(rake: Numbers, wheelbase: Numbers, front_stroke: Numbers, rear_drop: Numbers = 0.0) -> Numbers:
    """Return the rake in rad after that movement: it falls by the pitch, so a dipping front steers quicker."""
    return rake - pitch(rake, wheelbase, front_stroke, rear_drop)


def wheelbase_after(rake: Numbers, wheelbase: Numbers, front_stroke: Numbers, rear_drop: Numbers = 0.0) -> Numbers:
    """Return the wheelbase in m after that movement."""
    rise = front_stroke * np.cos(rake) - rear_drop
    return np.hypot(rise, wheelbase - front_stroke * np.sin(rake))
