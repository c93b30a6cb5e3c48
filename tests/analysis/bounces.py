"""Simulated bounces: the equation of motion integrated step by step, knowing nothing of the formulas under test."""
from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp

MASS = 100.0  # kg; only ratios matter


def simulate(at, *, zeta, friction, hertz, push):
    """Positions at the times ``at`` of ``m x″ + c x′ + F sign(x′) + k x = 0`` let go at ``x = −push``; rest is 0.

    ``friction`` is F/k.  Friction is integrated between turning points, where its sign is constant; it holds the mass
    where the spring is weaker than it.
    """
    omega = 2 * np.pi * hertz
    k, c = MASS * omega**2, 2 * zeta * MASS * omega
    at = np.asarray(at, dtype=float)
    x, now, out = -push, 0.0, np.full(at.size, np.nan)
    out[at <= 0] = x
    while abs(x) > friction and now < at[-1]:
        way = -np.sign(x)

        def motion(_, s, way=way):
            return [s[1], (-c * s[1] - k * friction * way - k * s[0]) / MASS]

        def turns(time, s, way=way, begun=now):
            return s[1] * way if time > begun + 1e-3 / hertz else 1.0

        turns.terminal = True
        part = solve_ivp(motion, (now, at[-1]), [x, 0.0], events=turns, dense_output=True, rtol=1e-8, atol=1e-10)
        inside = (at > now) & (at <= part.t[-1])
        if inside.any():
            out[inside] = part.sol(at[inside])[0]
        x, now = float(part.y[0, -1]), float(part.t[-1])
    out[at > now] = x
    return out
