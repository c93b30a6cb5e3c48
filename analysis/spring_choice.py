"""Which spring: the rate for a sag, and what each spring on a shelf would give at either end of the bike.

Both ends are seen in one way: springs whose squeeze follows the wheel or fork movement, and everything else that
pushes beside them.
"""
from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import brentq

from analysis import typical
from analysis.fork import Fork, fork_force
from analysis.leg import springless
from analysis.rear import Rear, wheel_force
from analysis.say import say

FRONT_FREE_SAG = (0.10, 0.22)
"""Free sag as a share of the stroke once rider sag is right: common practice, no source."""
REAR_FREE_SAG = (0.03, 0.16)
"""The same at the rear wheel: common practice, no source."""
FRONT_STEP, REAR_STEP = 500.0, 5000.0
"""Steps in which springs are usually sold, N/m: common practice, no source."""
LEAST_MARGIN = 2e-3
"""Room that coils keep at the end of the stroke, m: common practice, no source."""


@dataclass(frozen=True)
class End:
    """One end of a bike, as seen by its springs; movement ``x`` in m along the fork or of the wheel.

    ``squeeze(x)`` how far each spring closes, m; ``ratio(x)`` its slope; ``others(x)`` what carries beside the
    springs, N at the same place as the loads; ``springs`` how many; ``free_sag`` the shares that suit.
    """

    squeeze: Callable[[float], float]
    ratio: Callable[[float], float]
    others: Callable[[float], float]
    springs: int
    travel: float
    free_sag: tuple[float, float]


@dataclass(frozen=True)
class Wish:
    """What a spring is to do: loads in N with and without rider, the rider sag wanted in m, and the bounds.

    ``preload`` the least and the most that can be set, m; ``closes`` how far a spring of the shelf can be squeezed
    before its coils touch, m (None: not known).
    """

    free_load: float
    rider_load: float
    rider_sag: float
    preload: tuple[float, float]
    closes: float | None = None


@dataclass(frozen=True)
class Offer:
    """What one rate would give: preload it needs and gets (m), sags (m), room before the coils touch (m)."""

    rate: float
    preload_needed: float
    preload: float
    rider_sag: float
    free_sag: float
    bind_margin: float | None
    fits: bool
    words: str


def front_end(fork: Fork) -> End:
    """Return the front as its springs see it: each sprung leg's spring closes with the stroke, the air helps."""
    bare = Fork(springless(fork.left), springless(fork.right))
    springs = sum(float(np.min(np.asarray(leg.rate))) > 0 for leg in (fork.left, fork.right))
    return End(lambda x: x, lambda x: 1.0, lambda x: float(fork_force(bare, x, typical.N_SLOW[0])),
               max(springs, 1), float(fork.end), FRONT_FREE_SAG)


def rear_end(rear: Rear) -> End:
    """Return the rear as its springs see it: closed through the linkage, with gas and bump rubber beside them."""
    bare = replace(rear, shock=replace(rear.shock, rate=0.0))
    link = rear.linkage
    return End(lambda z: float(link.stroke(z)), lambda z: float(link.ratio(z)),
               lambda z: float(wheel_force(bare, z)), rear.count, float(rear.travel), REAR_FREE_SAG)


def rate_for(end: End, load: float, sag: float, preload: float) -> float:
    """Return the rate (N/m, each spring) with which ``load`` (N) gives ``sag`` (m) at a preload (m).

    ``k = (W − F_others)/(N r (P + s))``; 0 where the rest carries the load alone.
    """
    squeezed = max(preload + end.squeeze(sag), 1e-6)
    return max(load - end.others(sag), 0.0) / (end.springs * end.ratio(sag) * squeezed)


def preload_wanted(end: End, rate: float, load: float, sag: float) -> float:
    """Return the preload (m) with which a spring of ``rate`` (N/m) gives ``sag`` (m) under ``load`` (N)."""
    return (load - end.others(sag)) / (end.springs * end.ratio(sag) * rate) - end.squeeze(sag)


def sag_with(end: End, rate: float, preload: float, load: float) -> float:
    """Return the sag (m) of a spring and preload under ``load`` (N): 0 topped out, the travel where it is spent."""
    def carried(x: float) -> float:
        spring = rate * max(preload + end.squeeze(x), 0.0)
        return end.springs * end.ratio(x) * spring + end.others(x)

    if carried(0.0) >= load:
        return 0.0
    if carried(end.travel) <= load:
        return end.travel
    return float(brentq(lambda x: min(carried(x), 1e9) - load, 0.0, end.travel, xtol=1e-10))  # a locked leg says inf


def shelf(rate: float, step: float, each_way: int = 3, stock: Sequence[float] = ()) -> tuple[float, ...]:
    """Return the rates (N/m) in steps around the one wanted, as a shelf has them; of ``stock`` where that is known."""
    if stock:
        return tuple(sorted(sorted(set(stock), key=lambda one: abs(one - rate))[:2 * each_way + 1]))
    nearest = round(rate / step)
    return tuple(n * step for n in range(max(nearest - each_way, 1), nearest + each_way + 1))


def offers(end: End, wish: Wish, rates: Sequence[float]) -> tuple[Offer, ...]:
    """Return what each rate on the shelf would give, with the preload put as near to the wish as its range lets it."""
    return tuple(_offer(end, wish, rate) for rate in rates)


def best_offer(found: Sequence[Offer]) -> Offer | None:
    """Return the spring that fits with its preload nearest the middle of the fitting ones; None where none fits."""
    fitting = [offer for offer in found if offer.fits]
    if not fitting:
        return None
    middle = sum(offer.preload_needed for offer in fitting) / len(fitting)
    return min(fitting, key=lambda offer: abs(offer.preload_needed - middle))


def _offer(end: End, wish: Wish, rate: float) -> Offer:
    needed = preload_wanted(end, rate, wish.rider_load, wish.rider_sag)
    low, high = wish.preload
    preload = min(max(needed, low), high)
    free = sag_with(end, rate, preload, wish.free_load)
    rider = sag_with(end, rate, preload, wish.rider_load)
    margin = None if wish.closes is None else wish.closes - preload - end.squeeze(end.travel)
    trouble = _range_trouble(needed, low, high) or _margin_trouble(margin) or _free_trouble(free, end)
    words = trouble or say("Fits, with {needed} mm of preload.", needed=f"{needed * 1000.0:.1f}")
    return Offer(rate, needed, preload, rider, free, margin, not trouble, words)


def can_be_set(needed: float, reach: tuple[float, float]) -> bool:
    """Return whether a preload lies within what can be set, to a thousandth of a millimetre (all in m)."""
    low, high = reach
    return low - 1e-6 <= needed <= high + 1e-6


def _range_trouble(needed: float, low: float, high: float) -> str:
    if can_be_set(needed, (low, high)):
        return ""
    stiff = needed < low
    template = ("Cannot be done by preload: it would need {needed} mm of preload, and only {low} to {high} mm can be "
                "set. Too soft.")
    if stiff:
        template = ("Cannot be done by preload: it would need a slack spring, and only {low} to {high} mm can be set. "
                    "Too stiff." if needed < 0 else
                    "Cannot be done by preload: it would need {needed} mm of preload, and only {low} to {high} mm can "
                    "be set. Too stiff.")
    return say(template, needed=f"{needed * 1000.0:.0f}", low=f"{low * 1000.0:.0f}", high=f"{high * 1000.0:.0f}")


def _margin_trouble(margin: float | None) -> str:
    if margin is None or margin >= LEAST_MARGIN:
        return ""
    if margin < 0:
        return say("Its coils would touch {margin} mm before the end.", margin=f"{-margin * 1000.0:.0f}")
    return say("Only {margin} mm left before its coils touch.", margin=f"{margin * 1000.0:.1f}")


def _free_trouble(free: float, end: End) -> str:
    low, high = end.free_sag
    if free < low * end.travel:
        return say("Too soft: held up by preload, so that the bike alone sags only {free} mm.",
                   free=f"{free * 1000.0:.0f}")
    if free > high * end.travel:
        return say("Too stiff: so little preload that the bike alone already sags {free} mm.",
                   free=f"{free * 1000.0:.0f}")
    return ""
