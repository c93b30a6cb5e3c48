"""One or two shocks through a linkage: force and stiffness at the rear wheel, sag, and what preload does.

Floats or numpy arrays that broadcast; SI throughout.  Strokes and travels count from full extension.
"""
from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.fork import GRAVITY
from analysis.linkage import Linkage, wheel_travel_at
from analysis.shapes import Real, plain

HALVINGS = 55
"""A travel of half a metre halved so often is known beyond what a float can hold."""
ATMOSPHERE = 101325.0


@dataclass(frozen=True)
class Shock:
    """One shock as it is set.

    rate k, N/m.  preload: how far its spring is squeezed at full extension, m.  stroke: of the rod, m.
    closes: how far the spring can be squeezed before its coils touch, L_free − N_t d, m (inf: not known).
    rod_area, m², and gas_pressure above the atmosphere at full extension, Pa: the gas pushes the rod out.
    gas_volume at full extension, m³ (inf: so roomy that the pressure stays), with its exponent.
    bump_length and bump_rate, m and N/m: the rubber that is met before the end of the stroke.
    """

    rate: Real
    preload: Real
    stroke: Real
    closes: Real = np.inf
    rod_area: Real = 0.0
    gas_pressure: Real = 0.0
    gas_volume: Real = np.inf
    exponent: Real = 1.0
    bump_length: Real = 0.0
    bump_rate: Real = 0.0

    @property
    def bind(self) -> Real:
        """The stroke at which the coils touch, m."""
        return plain(np.maximum(np.asarray(self.closes) - self.preload, 0.0))

    @property
    def end(self) -> Real:
        """The furthest the rod goes: full stroke or coil bind, m."""
        return plain(np.minimum(self.stroke, np.asarray(self.bind)))


@dataclass(frozen=True)
class Rear:
    """Equal shocks (one, or two side by side) on one linkage."""

    shock: Shock
    linkage: Linkage
    count: int = 1

    @property
    def travel(self) -> Real:
        """The furthest the wheel goes: the linkage's travel, or where the shock ends, m."""
        return wheel_travel_at(self.linkage, self.shock.end)


def gas_push(shock: Shock, s: Real) -> tuple[Real, Real]:
    """Return the gas's force on the rod (N) and its stiffness (N/m) at stroke ``s``.

    ``F = (p − p₀) A`` with ``p = p_g (V/(V − A s))ⁿ``, p_g absolute at full extension: the rod takes up gas room as it
    goes in.  Constant where the volume is inf; +inf where the rod would fill it.
    """
    full = np.asarray(shock.gas_pressure) + ATMOSPHERE
    with np.errstate(invalid="ignore", divide="ignore"):
        shrunk = 1.0 - np.asarray(shock.rod_area * np.asarray(s) / shock.gas_volume)
        solid = shrunk <= 0
        pressure = full * np.power(np.where(solid, 1.0, shrunk), -np.asarray(shock.exponent))
        stiffness = shock.exponent * pressure * np.square(shock.rod_area) / (
            shock.gas_volume * np.where(solid, 1.0, shrunk))
    held = np.asarray(shock.gas_pressure) > 0
    force = np.where(solid, np.inf, (pressure - ATMOSPHERE) * shock.rod_area)
    return plain(np.where(held, force, 0.0)), plain(np.where(held, np.where(solid, np.inf, stiffness), 0.0))


def bump_push(shock: Shock, s: Real) -> tuple[Real, Real]:
    """Return the bump rubber's force (N) and stiffness (N/m): nothing until the last ``bump_length`` of the stroke."""
    squeezed = np.asarray(s) - (shock.stroke - np.asarray(shock.bump_length))
    met = squeezed > 0
    return plain(shock.bump_rate * np.maximum(squeezed, 0.0)), plain(np.where(met, shock.bump_rate, 0.0))


def coil_push(shock: Shock, s: Real) -> tuple[Real, Real]:
    """Return the spring's force k max(P + s, 0) (N) and stiffness (N/m)."""
    squeezed = np.asarray(shock.preload + np.asarray(s))
    return plain(shock.rate * np.maximum(squeezed, 0.0)), plain(np.where(squeezed > 0, shock.rate, 0.0))


def shock_push(shock: Shock, s: Real) -> tuple[Real, Real]:
    """Return force (N) and stiffness (N/m) of one shock at stroke ``s``: spring, gas and rubber, without damping."""
    parts = coil_push(shock, s), gas_push(shock, s), bump_push(shock, s)
    return (plain(np.asarray(sum(np.asarray(force) for force, _ in parts))),
            plain(np.asarray(sum(np.asarray(stiffness) for _, stiffness in parts))))


def wheel_push(rear: Rear, z: Real) -> tuple[Real, Real]:
    """Return force (N) and rate (N/m) at the wheel, upright, at wheel travel ``z``.

    ``F_w = N F_s MR`` and ``k_w = N (k_s MR² + F_s dMR/dz)``: the second term is the linkage's own, and can take away.
    """
    link = rear.linkage
    ratio, (force, stiffness) = np.asarray(link.ratio(z)), shock_push(rear.shock, link.stroke(z))
    rate = stiffness * np.square(ratio) + force * np.asarray(link.bend(z))
    return plain(rear.count * force * ratio), plain(rear.count * np.asarray(rate))


def wheel_force(rear: Rear, z: Real) -> Real:
    """Return the force at the wheel at wheel travel ``z``, N."""
    return wheel_push(rear, z)[0]


def travel_under(rear: Rear, load: Real) -> Real:
    """Return the wheel travel (m) at which the rear carries ``load`` (N, upright at the wheel).

    0 where it carries the load fully extended, its end where it cannot carry it at all.  Unique where the wheel rate
    is above 0 all the way, as it is on any sound rear.
    """
    end = np.asarray(rear.travel)
    low: Real = np.zeros(np.broadcast(np.asarray(load), end).shape)
    high: Real = end + low
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        heavy = np.asarray(wheel_force(rear, middle)) > load
        low, high = np.where(heavy, low, middle), np.where(heavy, middle, high)
    at_rest = np.asarray(wheel_force(rear, 0.0)) >= load
    spent = np.asarray(wheel_force(rear, end)) <= load
    return plain(np.where(at_rest, 0.0, np.where(spent, end, 0.5 * (low + high))))


def wheel_load(mass: Real, unsprung: Real = 0.0) -> Real:
    """Return the upright load at the wheel of the mass that rests on it, less what hangs below the spring, N (kg)."""
    return plain(np.maximum((np.asarray(mass) - unsprung) * GRAVITY, 0.0))


def preload_for(rear: Rear, load: Real, sag: Real) -> Real:
    """Return the preload (m, each spring) at which the wheel stands at ``sag`` (m) under ``load`` (N).

    ``P = (F_w/(N MR) − F_gas − F_rubber)/k − s(z)``; negative where even a slack spring holds it higher.
    """
    s, ratio = rear.linkage.stroke(sag), np.asarray(rear.linkage.ratio(sag))
    others = np.asarray(gas_push(rear.shock, s)[0]) + bump_push(rear.shock, s)[0]
    return plain((load / (rear.count * ratio) - others) / rear.shock.rate - s)


def with_preload(rear: Rear, preload: Real) -> Rear:
    """Return the same rear with another preload, m."""
    return replace(rear, shock=replace(rear.shock, preload=preload))


def preload_from_lengths(free: Real, installed: Real) -> Real:
    """Return the preload in m: the spring's free length less its length on the shock, wheel hanging."""
    return free - installed


def steps_for(change: Real, pitch: Real) -> Real:
    """Return the turns or steps that change the preload by ``change`` (m) at ``pitch`` (m a turn or step)."""
    return change / pitch


def ended_by(rear: Rear) -> str:
    """Name what ends the wheel's travel however hard the load: 'coil bind', 'shock stroke' or 'full travel'."""
    shock, end = rear.shock, float(np.min(np.asarray(rear.travel)))
    if end >= rear.linkage.travel - 1e-9:
        return "full travel"
    return "coil bind" if float(np.min(np.asarray(shock.bind))) < float(np.min(np.asarray(shock.stroke))) else (
        "shock stroke")
