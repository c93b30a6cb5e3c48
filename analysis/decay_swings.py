"""Damping from what a person can count or read: how often it swung past, how far, and when."""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.stats import t as student

from analysis.decay import Decay, Interval, Model, Refused, natural_frequency, next_height, ratio_from_overshoot
from analysis.decay_fit import Array, Fit, evidence, fit, friction_of, friction_verdict, plainest, ratio_of
from analysis.say import say

SEEN = (0.03, 0.10)
"""The smallest swing that a person sees, as a share of the push, least and most: common practice, no source."""
ONE_SWING = (say("From one swing past, friction cannot be told from damping: the ratio holds for both together, and "
                 "the damper's own is this or less."))
QUANTILE = 1.96
"""Standard deviations from the middle of a 95 % interval to its ends."""
MODELS: dict[Model, tuple[str, ...]] = {
    "viscous": ("height", "zeta", "rest"), "friction": ("height", "friction", "rest"),
    "both": ("height", "zeta", "friction", "rest"),
}


def from_count(passes: int, or_more: bool = False) -> Interval:
    """Return the damping ratio that fits swinging past its rest ``passes`` times (``or_more``: at least that often).

    Swing ``n`` has ``qⁿ`` of the push, and is seen while that is above the smallest swing a person sees (3 to 10 %).
    Raises ValueError for fewer than none.
    """
    if passes < 0:
        raise ValueError("It cannot swing past fewer than no times.")
    least, most = SEEN
    low = 0.0 if or_more else float(ratio_from_overshoot(most ** (1 / (passes + 1))))
    high = 1.0 if passes == 0 else float(ratio_from_overshoot(least ** (1 / passes)))
    return Interval((low + high) / 2, low, high)


def from_overshoot(push: float, past: float, sd: float = 0.003, half_time: float | None = None,
                   half_time_sd: float = 0.02) -> Decay | Refused:
    """Return the damping from one push and one swing past: ``ζ = −ln s/√(π² + ln² s)``, ``s = past/push``.

    ``push`` and ``past`` in m from rest, ``sd`` the spread of each reading in m, ``half_time`` in s from the lowest
    point to the highest (half a damped cycle) where it was taken.  The interval follows the logarithm of the share.
    """
    if push <= 2 * sd:
        return Refused("no motion", say("The push was hardly deeper than what can be read. Push about a third of "
                                        "the stroke."))
    if past >= push + 2 * sd:
        return Refused("not a decay", say("It swung higher than it was pushed. Something pushed along: let go at "
                                          "once and keep hands and feet off."))
    if past <= 2 * sd:
        least = float(ratio_from_overshoot(min(2 * sd / push, 1.0)))
        return Refused("too small to read", say("It swung past by less than can be read: the damping ratio is "
                                                "{least} or more.", least=f"{least:.2f}"))
    spread = QUANTILE * sd * math.hypot(1 / past, 1 / push)
    shares = (min(past / push * math.exp(sign * spread), 1.0) for sign in (0, 1, -1))
    zeta = Interval(*(abs(float(ratio_from_overshoot(share))) for share in shares))
    damped = None if half_time is None else _frequency(half_time, half_time_sd)
    return Decay(zeta, None, damped, _natural(damped, zeta), "viscous", 1, {}, ONE_SWING)


def _frequency(half: float, sd: float) -> Interval:
    low, high = (1 / (2 * max(half + sign * QUANTILE * sd, 1e-6)) for sign in (1, -1))
    return Interval(1 / (2 * half), low, high)


def _natural(damped: Interval | None, zeta: Interval) -> Interval | None:
    """Return ``f_d/√(1 − ζ²)``; the two spreads are independent, so their relative parts add as squares."""
    if damped is None:
        return None
    middle = float(natural_frequency(damped.value, min(zeta.value, 0.97)))
    low, high = (float(natural_frequency(damped.value, min(z, 0.97))) for z in (zeta.low, zeta.high))
    down = math.hypot(middle - low, middle * (1 - damped.low / damped.value))
    up = math.hypot(high - middle, middle * (damped.high / damped.value - 1))
    return Interval(middle, middle - down, middle + up)


def damped_frequency(times: Sequence[float] | Array, sd: float | None = None) -> Interval | Refused:
    """Return the damped frequency in Hz from the times in s of successive crossings of rest, or turning points.

    They lie half a cycle apart; the line through them has the half cycle for its slope.  Three are needed, or two
    where the spread ``sd`` of one time is known.
    """
    at = np.asarray(times, dtype=float)
    if at.size < (3 if sd is None else 2):
        return Refused("too few swings", say("Two times are needed at least, and three to tell how exact they are."))
    if not np.all(np.isfinite(at)) or np.any(np.diff(at) <= 0):
        return Refused("not a decay", say("The times do not run forward. Check their order."))
    count = np.arange(at.size) - (at.size - 1) / 2
    square = float(count @ count)
    half = float(count @ at) / square
    left = at - at.mean() - half * count
    variance = sd**2 if sd is not None else float(left @ left) / (at.size - 2)
    quantile = 1.96 if sd is not None else float(student.ppf(0.975, at.size - 2))
    spread = quantile * math.sqrt(variance / square)
    return Interval(1 / (2 * half), 1 / (2 * (half + spread)), 1 / (2 * max(half - spread, 1e-6)))


def from_peaks(positions: Sequence[float] | Array, times: Sequence[float] | Array | None = None, *,
               rest: float | None = None, sd: float | None = None, rest_sd: float | None = None,
               time_sd: float | None = None) -> Decay | Refused:
    """Return the damping from successive turning points, low and high in turn.

    ``positions`` in m along the leg, any zero; ``times`` in s of the same points where they were taken; ``rest`` where
    it settled in m, ``sd`` and ``rest_sd`` the spread of one reading (None: taken from the fit), ``time_sd`` that of
    one time.  Fits ``a′ = q a − f (1 + q)`` with damping alone, friction alone and both.  Refused for too few points,
    points that do not alternate, no motion, growth, and friction that outweighs damping.
    """
    y = np.asarray(positions, dtype=float)
    needed = 3 if rest is None else 2
    have = y.size - (1 if sd is None else 0)
    refusal = _unfit(y, have, needed, sd)
    if refusal is not None:
        return refusal
    fits = _fits(y, have + (rest is not None), rest, sd, rest_sd)
    swings = y.size - 1
    weights = evidence(fits)
    rubbing = friction_verdict(fits, weights, swings)
    if rubbing is not None:
        return rubbing
    best = fits.get("both", fits["viscous"])
    if best.interval(lambda v: v["zeta"]).high < 0:
        return Refused("not a decay", say("The swings grow instead of dying away. Keep hands off and try again."))
    damped = None if times is None else damped_frequency(times, time_sd)
    if isinstance(damped, Refused):
        return damped
    zeta = ratio_of(best)
    return Decay(zeta, friction_of(best) if "both" in fits else None, damped, _natural(damped, zeta), plainest(weights),
                 swings, weights, "" if "both" in fits else ONE_SWING)


def _unfit(y: Array, have: int, needed: int, sd: float | None) -> Refused | None:
    """Return why these turning points cannot be used at all."""
    if y.size < 2 or have < needed:
        return Refused("too few swings", say("{size} turning points are too few; film the bounce from letting go "
                                             "until it rests and read every lowest and highest point.", size=y.size))
    if not np.all(np.isfinite(y)):
        return Refused("not a decay", say("A turning point has no number. Leave it out together with all after it."))
    if float(np.ptp(y)) <= 4 * (sd or 0.0) or float(np.ptp(y)) == 0:
        return Refused("no motion", say("It hardly moved. Push about a third of the stroke and let go at once."))
    steps = np.diff(y)
    if np.any(steps[1:] * steps[:-1] >= 0):
        return Refused("not a decay", say("Lowest and highest points have to follow each other in turn. Check the "
                                          "readings."))
    return None


def _fits(y: Array, have: int, rest: float | None, sd: float | None, rest_sd: float | None) -> dict[Model, Fit]:
    """Fit each model that ``have`` readings allow; the fullest from where each of the other two ended."""
    fits: dict[Model, Fit] = {}
    for name, free in MODELS.items():
        if have < len(free):
            continue
        starts = [made.values for made in fits.values()] if name == "both" else [_first_guess(y, rest, "zeta" in free)]
        tried = (_fit_peaks(y, free, start, rest, sd, rest_sd) for start in starts)
        fits[name] = min(tried, key=lambda made: float(made.residual @ made.residual))
    return fits


def _first_guess(y: Array, rest: float | None, damped: bool) -> dict[str, float]:
    middle = rest if rest is not None else float(y[-2:].mean())
    first, second = abs(y[0] - middle), abs(y[1] - middle)
    share = min(max(second / first if first > 0 else 0.5, 0.02), 0.98)
    return {"height": float(y[0] - middle), "rest": middle,
            "zeta": float(ratio_from_overshoot(share)) if damped else 0.0,
            "friction": 0.0 if damped else max(first - second, 0.0) / 2}


def _fit_peaks(y: Array, free: tuple[str, ...], start: Mapping[str, float], rest: float | None, sd: float | None,
               rest_sd: float | None) -> Fit:
    """Fit one model to turning points; the rest position counts as one more reading where it was taken."""
    unit, size = sd or 1.0, float(np.ptp(y))

    def misfit(v: Mapping[str, float]) -> Array:
        off = (_turning_points(y.size, v) - y) / unit
        return off if rest is None else np.append(off, (v["rest"] - rest) / (rest_sd or unit))

    return fit(misfit, start, free, {"height": size, "rest": size, "zeta": 1.0, "friction": size}, sd is not None)


def _turning_points(count: int, v: Mapping[str, float]) -> Array:
    """Return ``count`` turning points in m after the model; once it sticks it stays."""
    sign, height = math.copysign(1.0, v["height"]), abs(v["height"])
    points = [height * sign]
    for _ in range(count - 1):
        if height <= v["friction"]:
            points.append(points[-1])
            continue
        sign, height = -sign, float(next_height(height, v["zeta"], v["friction"]))
        points.append(sign * height)
    return np.array(points) + v["rest"]
