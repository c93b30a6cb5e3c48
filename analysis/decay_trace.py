"""Damping from a recorded bounce: times and positions from a logger or read off a slow-motion film."""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.decay import Decay, Interval, Model, Refused, natural_frequency, overshoot, ratio_from_overshoot
from analysis.decay_fit import Array, Fit, evidence, fit, friction_of, friction_verdict, plainest, ratio_of
from analysis.decay_record import Record, prepared
from analysis.say import say

MODELS: dict[Model, tuple[str, ...]] = {
    "viscous": ("start", "height", "half", "zeta", "rest", "drift"),
    "friction": ("start", "height", "half", "friction", "rest", "drift"),
    "both": ("start", "height", "half", "zeta", "friction", "rest", "drift"),
}
RUB = (0.0, 0.005, 0.01, 0.02, 0.03, 0.05, 0.07, 0.1, 0.14, 0.2, 0.3)
"""Shares of the first height that friction is tried at before fitting."""
STARTS = 5
SEARCHED: dict[Model, tuple[float, ...]] = {"viscous": (0.0,), "friction": RUB[1:], "both": RUB}
LEFT_OVER = 0.08
"""Share of the first swing that a remainder may have before the record is no free decay: common practice."""
VAGUE = 0.25
"""Half width of the ratio's interval beyond which the record says nothing."""
MOST_SWINGS = 400


def frame_times(frames: Sequence[float] | Array, per_second: float) -> Array:
    """Return the times in s of film frames taken ``per_second`` (the camera's own rate, not that of the playback)."""
    return np.asarray(frames, dtype=float) / per_second


def from_trace(times: Sequence[float] | Array, positions: Sequence[float] | Array, *,
               ends: tuple[float, float] | None = None) -> Decay | Refused:
    """Return damping ratio, friction and frequencies from a recorded bounce.

    ``times`` in s, rising, any spacing; ``positions`` in m, same length, any zero and either direction, steady drift
    allowed; ``ends`` the positions of both stops where they are known.  What comes before letting go is cut off.  The
    whole curve is fitted, not its turning points only.  Nothing raises: what cannot be read is refused with a reason.
    """
    record = prepared(np.asarray(times, dtype=float), np.asarray(positions, dtype=float), ends)
    if isinstance(record, Refused):
        return record
    fits = _fits(record)
    best = fits["both"]
    left = float(np.sqrt(np.mean(best.residual**2)))
    if left > max(LEFT_OVER * record.height, 3 * record.noise):
        return Refused("not a decay", say("The curve does not look like a bounce that dies away by itself. Let go "
                                          "at once, touch nothing, and cut the record to one bounce."))
    if best.interval(lambda v: v["zeta"]).high < 0:
        return Refused("not a decay", say("The swings grow instead of dying away. Keep hands off and try again."))
    raw = best.interval(lambda v: v["zeta"])
    if raw.high - raw.low > 2 * VAGUE:
        return Refused("not a decay", say("The record does not settle how strong the damping is. Push deeper, film "
                                          "nearer, and keep the camera still."))
    weights = evidence(fits)
    return friction_verdict(fits, weights, record.swings) or _result(best, weights, record)


def _result(best: Fit, weights: Mapping[Model, float], record: Record) -> Decay:
    damped = best.interval(lambda v: 0.5 / v["half"])
    natural = best.interval(lambda v: float(natural_frequency(0.5 / v["half"], min(abs(v["zeta"]), 0.97))))
    return Decay(ratio_of(best), friction_of(best), _positive(damped), _positive(natural), plainest(weights),
                 record.swings, weights)


def _positive(value: Interval) -> Interval:
    return Interval(value.value, max(value.low, 0.0), value.high)


def _fits(record: Record) -> dict[Model, Fit]:
    """Fit all three models, each from the best of a coarse search."""
    fits: dict[Model, Fit] = {}
    for model, shares in SEARCHED.items():
        starts = _starts(record, shares, with_damping=model != "friction")
        starts = starts if model == "both" else starts[:2]
        fits[model] = min((_fit(record, model, start) for start in starts),
                          key=lambda made: float(made.residual @ made.residual))
    return fits


def _starts(record: Record, shares: Sequence[float], with_damping: bool) -> list[Mapping[str, float]]:
    """Return the best of a coarse search over friction and rest; damping follows from the first two heights.

    Friction makes the fit bumpy, for each swing more or less before it sticks is a bump of its own, and it comes to
    rest anywhere within ``F/k`` of the middle.
    """
    tried = []
    for share in shares:
        friction = share * record.height
        of_share = []
        for aside in (-1.0, -0.5, 0.0, 0.5, 1.0) if share else (0.0,):
            high, second = record.height - aside * friction, record.second + aside * friction
            q = min(max((second + friction) / max(high - friction, 1e-9), 0.005), 0.995) if with_damping else 1.0
            start = {"start": record.start, "height": record.sign * high, "half": record.half, "drift": 0.0,
                     "rest": record.rest + record.sign * aside * friction, "friction": friction,
                     "zeta": float(ratio_from_overshoot(q)) if with_damping else 0.0}
            of_share.append((float(np.sum((bounce(record.times, start) - record.positions) ** 2)), start))
        tried.append(min(of_share, key=lambda one: one[0]))
    return [start for _, start in sorted(tried, key=lambda one: one[0])[:STARTS]]


def _fit(record: Record, model: Model, start: Mapping[str, float]) -> Fit:
    size, half = record.height, record.half
    scale = {"start": half, "height": size, "half": half, "zeta": 1.0, "friction": size, "rest": size,
             "drift": size / half}
    return fit(lambda v: bounce(record.times, v) - record.positions, start, MODELS[model], scale, known_sd=False)


@dataclass(frozen=True)
class _Swings:
    """Turning points of one bounce: heights one after the other, and how many swings there are before it sticks."""

    heights: Array
    count: int


def bounce(t: Array, v: Mapping[str, float]) -> Array:
    """Return positions in m at ``t`` (s) of a bounce let go at ``start`` from ``height`` above ``rest``.

    Between two turning points ``x = f + (a − f) e^{−ζω_n τ} (cos ω_d τ + ζ/√(1−ζ²) sin ω_d τ)``, ``f = F/k`` and
    ``ω_d = π/half``; before the start it is held, after the last swing it sticks.  ``drift`` in m/s is the camera's.
    """
    half, zeta, friction = max(v["half"], 1e-9), v["zeta"], v["friction"]
    since = np.maximum(t - v["start"], 0.0)
    swings = _turning(abs(v["height"]), zeta, friction, int(min(since[-1] / half + 1, MOST_SWINGS)))
    index = np.minimum((since / half).astype(int), swings.count)
    tau = np.where(index < swings.count, since - index * half, 0.0)
    slope = zeta / math.sqrt(1 - zeta**2)
    angle = np.pi / half * tau
    height = swings.heights[index]
    middle = np.where(index < swings.count, friction, 0.0)
    along = middle + (height - middle) * np.exp(-slope * angle) * (np.cos(angle) + slope * np.sin(angle))
    sign = np.where(index % 2 == 0, 1.0, -1.0) * math.copysign(1.0, v["height"])
    return np.asarray(v["rest"] + v["drift"] * (t - t[0]) + sign * along)


def _turning(height: float, zeta: float, friction: float, most: int) -> _Swings:
    """Return the heights of up to ``most`` turning points after the first, until friction holds the bike."""
    q = float(overshoot(zeta))
    heights = [height]
    while len(heights) <= most and heights[-1] > friction:
        heights.append(q * heights[-1] - friction * (1 + q))
    return _Swings(np.array(heights), len(heights) - 1)
