"""Drawn forks: for every cause, many forks that would fit its story, as arrays."""
from __future__ import annotations

import math
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from analysis import typical
from analysis.catalogue import SIDES
from analysis.causes import SIGNS, USUAL_DAMPING_N, USUAL_FRICTION_N, USUAL_SLIP_MM, Cause, Prior
from analysis.document import Case
from analysis.estimates import ML, MM, Estimate
from analysis.fork import Fork, braking_load, fork_stiffness, static_load, stroke_under
from analysis.guide import Normals
from analysis.inputs import Inputs
from analysis.labels import Label, bind_labels, corrected, gauge_labels, oil_labels, preload_labels, rate_labels
from analysis.leg import PLAIN, Leg, air_push, parts_push, spring_push
from analysis.leg_inputs import LegInputs
from analysis.leg_parts import middle, parts_of

Array = NDArray[np.float64]
BAR = 1e5

OVERBLOWN = 0.35
"""Share of wrong tyre pressures that are too high: common practice, no source."""
VACUUM = 1e3
"""The least absolute pressure that a leg can hold, Pa."""


@dataclass
class World:
    """Drawn forks, ``n`` for each cause (or each cause's own number), one row a draw.

    ``log_labels``: what direct numbers say of each draw.
    """

    case: Case
    inputs: Inputs
    causes: Sequence[Cause]
    n: int | NDArray[np.int64]
    rng: np.random.Generator | Normals
    log_labels: dict[str, Array] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.cause_index = np.repeat(np.arange(len(self.causes)), self.n)
        self.size = self.cause_index.size
        self._draw_the_bike()
        self._draw_the_story()

    # --- what any bike has -------------------------------------------------------------------------------------

    def normal(self, estimate: Estimate, low: float = -math.inf) -> Array:
        """Draw a quantity from its estimate, never under ``low``."""
        return np.maximum(estimate.value + estimate.sd * self.rng.standard_normal(self.size), low)

    def spread(self, mean_sd: tuple[float, float]) -> Array:
        """Draw from a (mean, standard deviation) pair."""
        return mean_sd[0] + mean_sd[1] * self.rng.standard_normal(self.size)

    def _draw_the_bike(self) -> None:
        i = self.inputs
        self.stroke = self.normal(i.stroke, 0.01)
        self.rake = self.normal(i.rake, 0.0)
        self.n_slow = np.clip(self.spread(typical.N_SLOW), 1.0, 1.15)
        self.n_fast = np.clip(self.spread(typical.N_FAST), 1.0, 1.4)
        front, unsprung = self.normal(i.bike_front, 5.0), self.normal(i.unsprung, 1.0)
        rider = self.normal(i.rider_mass, 20.0)
        on_front = rider * np.clip(self.normal(i.rider_share), 0.1, 0.7)
        self.free_load = static_load(np.maximum(front - unsprung, 3.0), self.rake)
        self.rider_load = self.free_load + static_load(on_front, self.rake)
        whole = self.normal(i.bike_mass, 20.0) + rider + i.load_mass
        self.brake_load = braking_load(whole, unsprung, self.rake, self.normal(i.braking, 0.1))
        self.seal_area = {s: np.pi / 4 * self.normal(i.leg(s).seal_diameter, 0.012) ** 2 for s in SIDES}
        self.book_level: dict[str, Array] = {}
        self.gas_area = {s: self._gas_area(i.leg(s)) for s in SIDES}
        self.book_air = {s: self._book_air(s) for s in SIDES}

    def _gas_area(self, leg: LegInputs) -> Array:
        inner = np.maximum(self.normal(leg.inner_area), 0.0)
        return np.maximum(np.pi / 4 * self.normal(leg.bore_diameter, 0.01) ** 2 - inner, 1e-4)

    def _book_air(self, side: str) -> Array:
        """Air at full stroke with the oil as the papers want it; a usual amount where they are not known."""
        leg = self.inputs.leg(side)
        level = leg.level_book or Estimate(typical.LEVEL_BOOK_MM[0] * MM, typical.LEVEL_BOOK_MM[1] * MM, "assumed")
        self.book_level[side] = self.normal(level, 0.02)
        parts = np.maximum(self.normal(leg.steel), 0.0) + self.normal(leg.cap)
        if leg.parts.air_extended is not None:
            return np.maximum(self.normal(leg.parts.air_extended) - self.seal_area[side] * self.stroke, 1e-6)
        air = self.gas_area[side] * self.book_level[side] - parts
        return air if leg.level_book is not None else np.maximum(air, 0.25 * self.seal_area[side] * self.stroke)

    # --- what the story hides ----------------------------------------------------------------------------------

    def _draw_the_story(self) -> None:
        self.log_prior = np.zeros(self.size)
        self.lost = np.maximum(self._hidden("lost_stroke_mm", [], MM), 0.0)
        self._draw_the_oil()
        self.friction = self._lognormal("friction_n")
        self.damping = self._lognormal("damping_n")
        slip, usual = self._hidden("slip_mm", [], MM), self.spread((0.0, USUAL_SLIP_MM * MM))
        self.slip = np.where(self.rng.random(self.size) < self._of_cause("reads_well"), usual, slip)
        self.rebound = self._lognormal("rebound")
        self.rear_error = self._hidden("rear_mm", [], MM)
        self.tyre_short = self._hidden("tyre_bar", [], BAR)
        self.shut_in = np.maximum(self._hidden("trapped_bar", [], BAR), -0.2 * BAR)
        # What the height explains is in every fork's pressure already, so a story of shut-in air adds only the rest.
        self.trapped = self.shut_in - np.clip(self.shut_in, 0.0, thinner_outside(self.inputs))
        self._draw_the_springs()
        margin = self._hidden("bind_margin_mm", bind_labels(self.inputs, self.sprung, self.preload + self.stroke), MM)
        self.bind = np.maximum(self.stroke + margin, 0.02)
        self._draw_what_may_be_either()

    def _draw_what_may_be_either(self) -> None:
        """A wrong part is seen in one leg as often as in both, and too much air in a tyre less often than too little.

        Pushed together on the axle both legs end with the shorter one: then a part in one of them shows in both.
        """
        where = self.rng.random(self.size)
        self.lost_in = {"left": np.where(where < 0.75, self.lost, 0.0),
                        "right": np.where((where < 0.5) | (where >= 0.75), self.lost, 0.0)}
        self.tyre_short = np.where(self.rng.random(self.size) < OVERBLOWN, -self.tyre_short, self.tyre_short)

    def _draw_the_oil(self) -> None:
        """Oil above the book's: in half of the draws the story tells of the left leg first, in half of the right."""
        prior, left_first = self.log_prior, self.rng.random(self.size) < 0.5
        normals = self.rng.standard_normal(self.size), self.rng.standard_normal(self.size)
        (of_left, prior_l, labels_l), (of_right, prior_r, labels_r) = (
            self._oil_in_order(order, normals) for order in (SIDES, SIDES[::-1]))
        self.excess = {s: np.where(left_first, of_left[s], of_right[s]) for s in SIDES}
        self.apart = self.excess["right"] - self.excess["left"]
        self.log_prior = prior + np.where(left_first, prior_l, prior_r)
        self.log_labels = {path: np.where(left_first, labels_l[path], labels_r[path]) for path in labels_l}

    def _oil_in_order(self, order: Sequence[str], normals: tuple[Array, Array],
                      ) -> tuple[dict[str, Array], Array, dict[str, Array]]:
        """Draw one leg's oil and then the other's; return both, and what bounds and labels say of the draws."""
        first, second = order
        self.log_prior, self.log_labels = np.zeros(self.size), {}
        one = self._hidden("excess_ml", self._oil_labels(first), ML, normals[0])
        labels = [replace(label, value=label.value - one) for label in self._oil_labels(second)]
        apart = self._hidden("apart_ml", labels, ML, normals[1])
        least = self._of_cause("apart_at_least_ml") * ML
        far_enough = np.repeat([_outside(cause) for cause in self.causes], self.n)
        self.log_prior += np.where(np.abs(apart) >= least, -np.log(far_enough), -np.inf)
        return {first: one, second: one + apart}, self.log_prior, self.log_labels

    def _oil_labels(self, side: str) -> list[Label]:
        return oil_labels(self.case, self.inputs, side, self.gas_area[side], self.book_level[side])

    def _draw_the_springs(self) -> None:
        """Preload and rate: what suits this load, off by what the story says, corrected by what the labels say."""
        suits = np.maximum(self.spread((typical.PRELOAD_MM[0] * MM, 5 * MM)), 1 * MM)
        self.preload_error = self._hidden("preload_mm", preload_labels(self.inputs, self.sprung, suits), MM)
        self.preload = suits + self.preload_error
        if not self.sprung:
            self._draw_the_air_springs()
            return
        target = np.clip(self.spread((self.inputs.sag_share, typical.SPREAD.sag_share)), 0.15, 0.42) * self.stroke
        air = sum(np.asarray(air_push(self._leg(s, self.book_air[s], 0.0, 0.0), target, self.n_slow)[0])
                  for s in SIDES)
        # What one N/m carries there: the spring's squeeze, or more where its rate grows on the way.
        squeezed = sum(np.asarray(spring_push(self._leg(s, self.book_air[s], 1.0, suits), target)[0])
                       for s in self.sprung)
        self.needed_rate = np.maximum(self.rider_load - air, 0.25 * self.rider_load) / squeezed
        self.rate_share = self._hidden("rate_share", rate_labels(self.inputs, self.sprung, self.needed_rate), 1.0)
        self.rate = self.needed_rate * np.maximum(self.rate_share, 0.2)

    def _draw_the_air_springs(self) -> None:
        """Pressure of the air springs: what gives the sag that suits, off by the story, corrected by the gauge.

        F is linear in the closed pressure: Σ A (p_e rⁿ − p_ride) = load, so p_e = (load + Σ A p_ride) / Σ A rⁿ with
        r = V_e / V at the target sag.  What else pushes or pulls there, a leg without a charge or a balance chamber,
        is taken off the load.
        """
        self.rate = np.zeros(self.size)
        target = np.clip(self.spread((self.inputs.sag_share, typical.SPREAD.sag_share)), 0.15, 0.42) * self.stroke
        lever, base = np.zeros(self.size), np.zeros(self.size)
        for side in self.charged:
            extended = np.maximum(self.book_air[side] + self.seal_area[side] * self.stroke, 1e-6)
            left = np.maximum(extended - self.seal_area[side] * target, 1e-7)
            lever += self.seal_area[side] * (extended / left) ** self.n_slow
            base += self.seal_area[side] * self.inputs.ride_pressure
        load = np.maximum(self.rider_load - self._beside_the_charge(target), 0.25 * self.rider_load)
        needed = (load + base) / lever
        self.air_share = self._hidden("air_share", gauge_labels(self.charged, self.case, self.inputs, needed), 1.0)
        self.air_pressure = needed * np.maximum(self.air_share, 0.2)

    def _beside_the_charge(self, x: Array) -> Array:
        """Push at a stroke of all but the charged legs' main air, N."""
        total = np.zeros(self.size)
        for side in SIDES:
            leg = self._leg(side, self.book_air[side], 0.0, 0.0)
            if side not in self.charged:
                total += air_push(leg, x, self.n_slow)[0]
            if leg.parts is not PLAIN:
                total += parts_push(leg, x, self.n_slow)[0]
        return total

    @cached_property
    def charged(self) -> list[str]:
        """The legs whose air carries an air-sprung fork; both where nothing tells them apart."""
        legs = [(s, self.inputs.leg(s)) for s in SIDES]
        return [s for s, leg in legs if leg.parts.air_extended is not None or leg.gauge.value > 0] or list(SIDES)

    def shows(self, sign: str) -> Array:
        """Return for each draw how likely a sign is to be there that no physics here predicts."""
        return np.array([cause.shows.get(sign, SIGNS[sign]) for cause in self.causes])[self.cause_index]

    @cached_property
    def sprung(self) -> list[str]:
        """The legs that carry a coil spring; both where nothing is known, none in an air-sprung fork."""
        if self.case.value("fork.springing") == "air":
            return []
        sprung = [s for s in SIDES if (r := self.inputs.leg(s).rate) is None or r.value > 0]
        return sprung or list(SIDES)

    def _of_cause(self, name: str) -> Array:
        return np.repeat(np.array([getattr(cause, name) for cause in self.causes], dtype=float), self.n)

    def _hidden(self, name: str, labels: Sequence[Label], scale: float, normal: Array | None = None) -> Array:
        """Draw a hidden quantity from its story, corrected by what is said of it directly.

        Bounds cost no draws either: all are drawn inside them, and count by the share that lies there.
        """
        priors: list[Prior] = [getattr(cause, name) for cause in self.causes]
        table = np.array([(p.mean, p.sd, p.low, p.high) for p in priors]) * scale
        mean, sd, low, high = np.repeat(table, self.n, axis=0).T
        share = np.repeat([_inside(p) for p in priors], self.n)
        for label in labels:
            row, mean, sd = corrected(label, mean, sd, self.rng.random(self.size))
            self.log_labels[label.path] = self.log_labels.get(label.path, 0.0) + row
        drawn, inside = _within(mean, sd, low, high, self.rng.standard_normal(self.size) if normal is None else normal)
        self.log_prior += np.log(inside / share)
        return drawn

    def _lognormal(self, name: str) -> Array:
        pairs = np.array([getattr(cause, name) for cause in self.causes])
        median, spread = (np.repeat(pairs[:, column], self.n) for column in (0, 1))
        return median * np.exp(spread * self.rng.standard_normal(self.size))

    # --- what such a fork does ---------------------------------------------------------------------------------

    def _leg(self, side: str, air: Array, rate: Array | float, preload: Array | float) -> Leg:
        closed = closed_at(self.inputs, self.inputs.leg(side).gauge.value) + self.trapped
        if hasattr(self, "air_pressure") and side in self.charged:
            closed = self.air_pressure
        return Leg(self.seal_area[side], self.stroke, air, closed,
                   self.inputs.ride_pressure, rate, preload,
                   np.minimum(self.bind, self.stroke - self.lost) if hasattr(self, "bind") else np.inf,
                   parts_of(self.inputs, self.inputs.leg(side), rate, preload, middle))

    def taken(self, rows: NDArray[np.int64]) -> World:
        """Return a world of the draws at ``rows`` (repeats allowed): the same forks, fewer of them."""
        def row(value: object) -> object:
            if isinstance(value, dict):
                return {key: row(part) for key, part in value.items()}
            return value[rows] if isinstance(value, np.ndarray) and value.shape == (self.size,) else value

        fewer = copy(self)
        fewer.__dict__ = {name: row(value) for name, value in self.__dict__.items()
                          if name not in ("as_is", "_walls")}
        fewer.size = rows.size
        return fewer

    @classmethod
    def joined(cls, worlds: Sequence[World], order: NDArray[np.intp]) -> World:
        """Return several worlds' draws as one world, in the order given.

        The worlds are taken apart on the way, so that hardly any draw is held twice; they are of no use afterwards.
        """
        def join(values: Sequence[object]) -> object:
            first = values[0]
            if isinstance(first, dict):
                return {key: join([value[key] for value in values]) for key in first}  # type: ignore[index]
            if isinstance(first, np.ndarray) and first.shape == (size,):
                return np.concatenate(values)[order]  # type: ignore[arg-type]
            return first

        whole, size, counts = copy(worlds[0]), worlds[0].size, [np.asarray(world.n) for world in worlds]
        every = set.intersection(*(set(world.__dict__) for world in worlds))
        whole.__dict__ = {name: join([world.__dict__.pop(name) for world in worlds]) for name in sorted(every)}
        whole.n, whole.size = np.asarray(sum(counts)), order.size
        return whole

    def settle(self) -> None:
        """Let go of what only helps to weigh the draws: the generator's record, and forks that are soon made again."""
        if isinstance(self.rng, Normals):
            self.rng = self.rng.rng
        for name in ("as_is", "_walls"):
            self.__dict__.pop(name, None)

    def fork(self, preload_out: float = 0.0) -> Fork:
        """Return all drawn forks as one, ``preload_out`` metres of preload backed out."""
        sprung = self.sprung
        legs = [self._leg(s, self.book_air[s] - self.excess[s], self.rate if s in sprung else 0.0,
                          self.preload - preload_out) for s in SIDES]
        return Fork(*legs)

    @cached_property
    def as_is(self) -> Fork:
        """All drawn forks as they stand."""
        return self.fork()

    @cached_property
    def free_sag(self) -> Array:
        """Stroke under the bike alone, m."""
        return np.asarray(stroke_under(self.as_is, self.free_load, self.n_slow))

    @cached_property
    def rider_sag(self) -> Array:
        """Stroke under bike and rider, m."""
        return np.asarray(stroke_under(self.as_is, self.rider_load, self.n_slow))

    @cached_property
    def sag_stiffness(self) -> Array:
        """Stiffness at rider sag, N/m."""
        return np.asarray(fork_stiffness(self.as_is, self.rider_sag, self.n_slow))

    @cached_property
    def effort(self) -> Array:
        """Hardest moment of a ride, as a share of the braking to plan for: common practice, no source."""
        return np.exp(-0.06 + 0.17 * self.rng.standard_normal(self.size))

    def moving(self, load: Array) -> Array:
        """What a quick load leaves for spring and air: more damping and friction than usual hold it back."""
        held_back = self.damping - USUAL_DAMPING_N + 0.5 * (self.friction - USUAL_FRICTION_N)
        return np.maximum(load - held_back, 0.3 * self.free_load)

    @cached_property
    def ride_stroke(self) -> Array:
        """Deepest stroke on a ride, m."""
        return np.asarray(stroke_under(self.as_is, self.moving(self.brake_load * self.effort), self.n_fast))

    @cached_property
    def lean_load(self) -> Array:
        """Load of a slow lean on the bars, N: 380 ± 90 N over the bike's own, common practice, no source."""
        return self.free_load + np.maximum(self.spread((380.0, 90.0)), 100.0)

    @cached_property
    def lean_stroke(self) -> Array:
        """Stroke under a slow lean, m."""
        held = np.maximum(self.lean_load - 0.5 * self.friction, 0.0)
        return np.asarray(stroke_under(self.as_is, held, self.n_slow))

    @cached_property
    def push_load(self) -> Array:
        """Load of a quick, hard push, N, within about a quarter: common practice, no source."""
        return self.free_load + typical.PUSH_N * np.exp(0.22 * self.rng.standard_normal(self.size))

    @cached_property
    def push_stroke(self) -> Array:
        """Stroke under a quick, hard push, m."""
        return np.asarray(stroke_under(self.as_is, self.moving(self.push_load), self.n_fast))

    @cached_property
    def _top_stiffness(self) -> Array:
        return np.asarray(fork_stiffness(self.as_is, 0.1 * self.stroke, self.n_fast))

    @cached_property
    def _walls(self) -> dict[int, tuple[Array, Array]]:
        """Walls asked for before, each with its stroke, by the stroke's identity: many answers ask for the same."""
        return {}

    def wall(self, stroke: Array) -> Array:
        """How many times stiffer the fork is at a stroke than near the top, as a natural logarithm, at most 4."""
        if id(stroke) not in self._walls:
            self._walls[id(stroke)] = stroke, self._wall(stroke)
        return self._walls[id(stroke)][1]

    def _wall(self, stroke: Array) -> Array:
        top, here = self._top_stiffness, np.asarray(fork_stiffness(self.as_is, stroke, self.n_fast))
        solid = ~(np.isfinite(here) & np.isfinite(top))
        return np.where(solid, 4.0, np.minimum(np.log(np.where(solid, 1.0, here) / np.where(solid, 1.0, top)), 4.0))

    def touches(self, stroke: Array) -> NDArray[np.bool_]:
        """True where metal has met metal: full stroke, touching coils, or a part in the way."""
        solid = np.minimum(self.bind, self.stroke - self.lost)
        return np.asarray(stroke >= np.minimum(solid, self.stroke) - 0.5 * MM)

    def backed_out_sag(self, metres: float) -> Array:
        """Rider sag with that much preload taken out, m."""
        return np.asarray(stroke_under(self.fork(metres), self.rider_load, self.n_slow))


def thinner_outside(inputs: Inputs) -> float:
    """Return by how much the air outside is thinner where it is ridden than where the caps were closed, Pa, or 0."""
    return max(inputs.closed_pressure - inputs.ride_pressure, 0.0)


def closed_at(inputs: Inputs, gauge: Array | float) -> Array | float:
    """Return the absolute pressure at full extension, Pa, never less than ``VACUUM``: a wide spread may draw less."""
    closed = np.maximum(inputs.closed_pressure + gauge, VACUUM)
    return float(closed) if np.ndim(closed) == 0 else closed


def _within(mean: Array, sd: Array, low: Array, high: Array, normal: Array) -> tuple[Array, Array]:
    """Take normals to normal distributions cut off at bounds; return them, and the share that lies inside."""
    drawn, share = mean + sd * normal, np.ones(mean.size)
    rows = np.flatnonzero(np.isfinite(low) | np.isfinite(high))
    centre, wide = mean[rows], sd[rows]
    ends = (low[rows] - centre) / wide, (high[rows] - centre) / wide
    way = np.where(ends[0] > 0, -1.0, 1.0)  # an upper tail is worked out as a lower one, where numbers are finer
    below = ndtr(np.where(way < 0, -ends[1], ends[0]))
    share[rows] = np.maximum(ndtr(np.where(way < 0, -ends[0], ends[1])) - below, 1e-300)
    inside = way * ndtri(below + share[rows] * ndtr(way * normal[rows]))
    drawn[rows] = np.clip(centre + wide * inside, low[rows], high[rows])
    return drawn, share


@lru_cache(maxsize=512)
def _inside(prior: Prior) -> float:
    """Share of a normal distribution inside the prior's bounds."""
    def below(x: float) -> float:
        return 0.5 * (1 + math.erf((x - prior.mean) / (prior.sd * math.sqrt(2)))) if math.isfinite(x) else float(x > 0)
    return max(below(prior.high) - below(prior.low), 1e-12)


def _outside(cause: Cause) -> float:
    """Share of a cause's draws whose legs differ by as much as its story asks."""
    return math.erfc(cause.apart_at_least_ml / (cause.apart_ml.sd * math.sqrt(2)))
