"""The three sets of numbers: as found, by the book, and as advised; and how far each figure may be off."""
from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from analysis import air, oil, typical
from analysis.catalogue import SIDES
from analysis.document import Case
from analysis.estimates import MM, Estimate
from analysis.fork import Fork, braking_load, fork_force, limited_by, static_load, stroke_under
from analysis.inputs import Inputs
from analysis.labels import excess_by_volume, poured_twice
from analysis.leg import Leg, spring_push, springless
from analysis.leg_inputs import LegInputs
from analysis.leg_parts import Pick, middle, parts_of
from analysis.shapes import Real, plain
from analysis.stop import EXPONENT, Stop, air_at_stop, pressure_ratio, stop_felt
from analysis.warmth import grown, warmed
from analysis.world import closed_at

SETS = ("found", "book", "advised")
SPREAD_DRAWS = 400
"""Draws behind each spread: a 5 % point is then known to about a tenth of the range."""


@dataclass(frozen=True)
class Change:
    """What is advised to be different from what was found.  Rate in N/m and preload in m, of both legs.

    ``levels`` and ``turned`` are a tuner's own numbers and come before the others: the oil level of each leg in m, and
    preload turns to add to those found.
    """

    level: bool = False
    rate: float | None = None
    preload: float | None = None
    levels: tuple[Estimate | None, Estimate | None] = (None, None)
    turned: float | None = None

    def level_of(self, side: str) -> Estimate | None:
        """Return the tuner's own level for a leg."""
        return self.levels[SIDES.index(side)]


MOST_PRELOAD = 0.5
"""Preload beyond which nobody looks for an answer, m."""


def drawing(rng: np.random.Generator, count: int = SPREAD_DRAWS) -> Pick:
    """Return a pick that draws from each estimate, the same draws for the same estimate.

    Equal legs have equal estimates but errors of their own, so the object counts and not its value.  It is kept with
    its draws: the address of one that is gone would be given to another, and its draws with it.
    """
    memory: dict[int, tuple[Estimate, NDArray[np.float64]]] = {}

    def pick(estimate: Estimate) -> Real:
        if id(estimate) not in memory:
            memory[id(estimate)] = estimate, estimate.value + estimate.sd * rng.standard_normal(count)
        return memory[id(estimate)][1]
    return pick


def gas_area(leg: LegInputs, pick: Pick) -> Real:
    """A_g = π D_b²/4 − A_parts, m²."""
    return plain(np.maximum(air.circle_area(pick(leg.bore_diameter)) - pick(leg.inner_area), 1e-5))


def seal_area(leg: LegInputs, pick: Pick) -> Real:
    """A_s = π d_s²/4, m²."""
    return plain(np.asarray(air.circle_area(pick(leg.seal_diameter))))


def air_at(leg: LegInputs, level: Estimate, pick: Pick) -> Real:
    """Air at full stroke with the oil at a level: V_c = A_g h − V_steel − V_cap, m³."""
    return gas_area(leg, pick) * pick(level) - pick(leg.steel) - pick(leg.cap)


def book_air(leg: LegInputs, pick: Pick) -> Real | None:
    """Air at full stroke with the oil at the book's level, m³; None where that is not known."""
    return None if leg.level_book is None else air_at(leg, leg.level_book, pick)


def found_air(inputs: Inputs, case: Case, side: str, pick: Pick) -> tuple[Real | None, str]:
    """Air at full stroke as found, m³, and where that is from: 'level', 'volume', 'stop' or '' (not known).

    A level that was read outranks an amount, an amount outranks a stop that was felt.
    """
    leg = inputs.leg(side)
    if leg.level is not None:
        return air_at(leg, leg.level, pick), "level"
    volumes = excess_by_volume(leg, case, side)
    book = book_air(leg, pick)
    if volumes and book is not None:
        return book - pick(volumes[-1][1]), "volume"
    stop = stop_felt(case)
    if stop is not None:
        return air_from_stop(inputs, side, stop, pick), "stop"
    return None, ""


def air_from_stop(inputs: Inputs, side: str, stop: Stop, pick: Pick) -> Real:
    """Air at full stroke of a leg that stopped dead, from the load that stopped there, m³."""
    area, x = seal_area(inputs.leg(side), pick), pick(stop.stroke)
    pushes = [_spring_at(inputs, inputs.leg(s), x, pick) for s in SIDES]
    springs = None if any(push is None for push in pushes) else sum(push for push in pushes if push is not None)
    loads = loads_of(inputs, pick)
    ratio = pressure_ratio(inputs, stop, loads.free, loads.braking, area, springs)
    return air_at_stop(area, x, pick(inputs.stroke), ratio, EXPONENT)


def _spring_at(inputs: Inputs, leg: LegInputs, x: Real, pick: Pick) -> Real | None:
    """Push of a leg's spring at a stroke, N; None where its rate is not known."""
    if leg.rate is None:
        return None
    rate, preload = pick(leg.rate), pick(leg.preload)
    return spring_push(Leg(0.0, 0.0, 0.0, 0.0, 0.0, rate, preload, parts=parts_of(inputs, leg, rate, preload, pick)),
                       x)[0]


def excess(inputs: Inputs, case: Case, side: str, pick: Pick) -> Real | None:
    """Oil above the book's amount as found, m³: (h_book − h) A_g, from the amounts, or from the stop felt."""
    leg = inputs.leg(side)
    if leg.level is not None and leg.level_book is not None:
        return plain(np.asarray(oil.excess_from_level(gas_area(leg, pick), pick(leg.level), pick(leg.level_book))))
    volumes = excess_by_volume(leg, case, side)
    if volumes:
        return pick(volumes[-1][1])
    found, _ = found_air(inputs, case, side, pick)
    book = book_air(leg, pick)
    return None if found is None or book is None else book - found


def fork_of(inputs: Inputs, case: Case, which: str, change: Change, pick: Pick) -> Fork | None:
    """Return the fork of one set; None where its air or its springs are not known."""
    legs = [leg_of(inputs, case, side, which, change, pick) for side in SIDES]
    if legs[0] is None or legs[1] is None:
        return None
    return Fork(legs[0], legs[1])


def leg_of(inputs: Inputs, case: Case, side: str, which: str, change: Change, pick: Pick) -> Leg | None:
    """Return one leg of one set; None where its air or its spring is not known."""
    leg = inputs.leg(side)
    left = set_air(inputs, case, side, which, change, pick)
    if left is None or leg.rate is None:
        return None
    has_spring = leg.rate.value > 0
    advised = which == "advised"
    rate = change.rate if advised and change.rate is not None and has_spring else np.maximum(pick(leg.rate), 0.0)
    preload = _preload_of(leg, change if advised else Change(), pick)
    bind = np.inf if leg.closes is None or not has_spring else pick(leg.closes) - preload
    closed = closed_at(inputs, pick(leg.gauge))
    cold = Leg(seal_area(leg, pick), pick(inputs.stroke), left, plain(closed), inputs.ride_pressure, rate, preload,
               bind, parts_of(inputs, leg, rate, preload, pick))
    return cold if inputs.warm is None else warmed(cold, amount_in(inputs, case, side, which, change), *inputs.warm)


def _preload_of(leg: LegInputs, change: Change, pick: Pick) -> Real:
    if change.turned is not None:
        return pick(leg.preload) + change.turned * pick(leg.pitch)
    return pick(leg.preload) if change.preload is None else change.preload


def set_air(inputs: Inputs, case: Case, side: str, which: str, change: Change, pick: Pick) -> Real | None:
    """Air at full stroke of one set, m³."""
    leg = inputs.leg(side)
    if leg.parts.air_extended is not None:
        return plain(pick(leg.parts.air_extended) - seal_area(leg, pick) * pick(inputs.stroke))
    own = change.level_of(side) if which == "advised" else None
    if own is not None:
        return air_at(leg, own, pick)
    if which == "book" or (which == "advised" and change.level):
        return book_air(leg, pick)
    return found_air(inputs, case, side, pick)[0]


def amount_in(inputs: Inputs, case: Case, side: str, which: str, change: Change) -> float | None:
    """Return the oil in a leg of one set, m³; None where nothing says how much.

    The papers' amount and what takes the place of air there should be: so what had stayed in a leg counts as well.
    """
    leg = inputs.leg(side)
    air, book = set_air(inputs, case, side, which, change, middle), book_air(leg, middle)
    if leg.volume_book is not None and leg.parts.air_extended is None and air is not None and book is not None:
        return leg.volume_book.value + float(book) - float(air)
    known = leg.volume_book if leg.poured is None or poured_twice(leg) else leg.poured
    return None if known is None else known.value


@dataclass(frozen=True)
class Loads:
    """Loads along the fork, N."""

    free: Real
    rider: Real
    braking: Real


def loads_of(inputs: Inputs, pick: Pick) -> Loads:
    """Return the loads of the bike alone, of bike and rider, and of hard braking."""
    unsprung, rake = pick(inputs.unsprung), pick(inputs.rake)
    on_front = pick(inputs.bike_front) - unsprung
    rider = pick(inputs.rider_mass)
    whole = pick(inputs.bike_mass) + rider + inputs.load_mass
    return Loads(static_load(on_front, rake), static_load(on_front + rider * pick(inputs.rider_share), rake),
                 braking_load(whole, unsprung, rake, pick(inputs.braking)))


def exponents(inputs: Inputs, pick: Pick) -> tuple[Real, Real]:
    """Return the exponents of slow tests and of riding, inside 1 to 1.4."""
    return plain(np.clip(pick(inputs.slow), 1.0, 1.4)), plain(np.clip(pick(inputs.fast), 1.0, 1.4))


def figures_of(fork: Fork | None, inputs: Inputs, loads: Loads, pick: Pick) -> dict[str, Real | None]:
    """Return usable stroke, sags and coil bind stroke (m) of a fork; None where there is no fork."""
    if fork is None:
        return dict.fromkeys(("usable_stroke_mm", "free_sag_mm", "rider_sag_mm", "coil_bind_stroke_mm"))
    bind = fork.bind
    slow, fast = exponents(inputs, pick)
    return {
        "usable_stroke_mm": stroke_under(fork, loads.braking, fast),
        "free_sag_mm": stroke_under(fork, loads.free, slow),
        "rider_sag_mm": stroke_under(fork, loads.rider, slow),
        "coil_bind_stroke_mm": bind if np.all(np.isfinite(bind)) else None,
    }


def limit_of(fork: Fork | None, loads: Loads, exponent: float = typical.N_FAST[0]) -> str | None:
    """Name what ends the stroke under hard braking."""
    return None if fork is None else limited_by(fork, float(loads.braking), exponent)


def leg_volumes(inputs: Inputs, case: Case, side: str, which: str, change: Change, pick: Pick,
                ) -> dict[str, Real | None]:
    """Return air volumes (m³), their ratio and the lock stroke (m) of one leg of one set."""
    left = set_air(inputs, case, side, which, change, pick)
    names = ("air_volume_compressed_ml", "air_volume_extended_ml", "compression_ratio", "lock_stroke_mm")
    if left is None:
        return dict.fromkeys(names)
    area, stroke = seal_area(inputs.leg(side), pick), pick(inputs.stroke)
    if inputs.warm is not None:
        left = left - grown(amount_in(inputs, case, side, which, change), *inputs.warm)
    extended = plain(np.asarray(air.extended_volume(left, area, stroke)))
    ratio = plain(np.asarray(air.compression_ratio(left, extended)))
    lock = plain(np.maximum(air.lock_stroke(left, area, stroke), 0.0))
    return dict(zip(names, (left, extended, _number(ratio), _number(lock)), strict=True))


def _number(value: Real) -> Real | None:
    """None for a single value that is no number; arrays stay."""
    return None if np.ndim(value) == 0 and not math.isfinite(float(value)) else value


def needed_rate(inputs: Inputs, fork: Fork, loads: Loads) -> float:
    """Return the spring rate (N/m, each sprung leg) at which this fork would have the sag that suits it.

    Of springs whose rate grows it is the rate at their start, the springs being wound alike.
    """
    target = inputs.sag_share * inputs.stroke.value
    bare = Fork(springless(fork.left), springless(fork.right))
    carried = float(loads.rider) - float(fork_force(bare, target, typical.N_SLOW[0]))
    squeezed = [float(spring_push(leg, target)[0]) / float(leg.rate) for leg in (fork.left, fork.right)
                if float(leg.rate) > 0]
    return max(carried, 0.0) / max(sum(squeezed), 1 * MM)


def needed_preload(inputs: Inputs, fork: Fork, loads: Loads, sag: float) -> float:
    """Return the preload (m) with which this fork would stand at ``sag`` (m) under bike and rider; can be negative.

    The springs alone have to carry what air and other parts leave; a straight spring gives P = carried / Σk − x at
    once, any other is solved for.  NaN where no preload does it.
    """
    def over(preload: float) -> float:
        set_to = Fork(replace(fork.left, preload=preload), replace(fork.right, preload=preload))
        return float(fork_force(set_to, sag, typical.N_SLOW[0])) - float(loads.rider)

    least, most = -sag, MOST_PRELOAD
    if not (math.isfinite(over(least)) and over(least) <= 0 <= over(most)):
        bare = Fork(springless(fork.left), springless(fork.right))
        carried = float(loads.rider) - float(fork_force(bare, sag, typical.N_SLOW[0]))
        return carried / max(float(fork.left.rate) + float(fork.right.rate), 1.0) - sag
    return float(brentq(over, least, most, xtol=1e-7))


def spread_of(value: Real | None) -> float | None:
    """Return the standard deviation of drawn values."""
    drawn = _finite(value)
    return None if drawn is None else float(np.std(drawn))


def band_of(value: Real | None, most: float) -> list[float] | None:
    """Return the 5 % and 95 % points of drawn strokes, neither beyond the full stroke that is spoken of."""
    drawn = _finite(value)
    return None if drawn is None else [min(float(q), most) for q in np.percentile(drawn, (5, 95))]


def _finite(value: Real | None) -> NDArray[np.float64] | None:
    """Drop draws that have no number (a leg that does not lock); None where hardly any is left."""
    if value is None or np.ndim(value) == 0:
        return None
    drawn = np.asarray(value)
    drawn = drawn[np.isfinite(drawn)]
    return drawn if drawn.size >= SPREAD_DRAWS // 10 else None
