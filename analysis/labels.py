"""Labels: numbers that speak of a hidden quantity directly, and correct its draws in closed form."""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis import oil
from analysis.document import Case
from analysis.estimates import ML, MM, Estimate
from analysis.inputs import Inputs
from analysis.leg_inputs import LegInputs

Array = NDArray[np.float64]
LEAST_GAUGE_SD = 5e3
"""No gauge on a leg is better than this, Pa: common practice, no source."""

DOUBT = {"measured": 0.012, "documented": 0.03, "remembered": 0.15, "guessed": 0.30, "assumed": 0.30}
"""Chance that a number is plainly wrong (slip, wrong leg or unit), by how it is known: common practice, no source."""

ROOT_SD = math.sqrt(2)
"""What a level and the oil drained both say is one thing, the oil in the leg: the second counts by its root."""


@dataclass(frozen=True)
class Label:
    """What a case says directly of a hidden quantity, for every draw."""

    path: str
    value: Array | float
    sd: Array | float
    known: str
    width: float
    """The range over which a plainly wrong number could lie, in the quantity's unit."""
    doubt: float = 0.0
    """Least chance that it is plainly wrong, where papers tell what should be and not what is."""
    steps: Array | float = 1.0
    """How much the hidden quantity moves for a step of what was read, against the other draws.  A reading's
    probability is per step of the reading, so each draw's counts by this."""


def corrected(label: Label, mean: Array, sd: Array, chance: Array) -> tuple[Array, Array, Array]:
    """Return what a label says of each draw (logarithm), and mean and spread of the quantity with the label in.

    For a normal prior and a normal reading both the corrected distribution and the reading's probability are closed
    forms, so a sharp reading costs no draws.  A reading is plainly wrong with the chance of ``DOUBT``: ``chance``, from
    0 to 1, decides for each draw whether it is believed.
    """
    noise = np.broadcast_to(np.asarray(label.sd, dtype=float), mean.shape)
    doubt = max(DOUBT[label.known], label.doubt)
    both = np.sqrt(np.square(sd) + np.square(noise))
    fits = (1 - doubt) * np.exp(-0.5 * ((label.value - mean) / both) ** 2) / (math.sqrt(2 * math.pi) * both)
    fits = fits * label.steps
    wrong = doubt / label.width
    believed = chance * (fits + wrong) < fits
    gain = sd**2 / both**2
    better = mean + gain * (label.value - mean)
    return (np.log((fits + wrong) * label.width), np.where(believed, better, mean),
            np.where(believed, sd * np.sqrt(1 - gain), sd))


def preload_labels(inputs: Inputs, sprung: Sequence[str], suits: Array) -> list[Label]:
    """Return what the preload on file says of the spring compression above what suits, m."""
    known = [(s, inputs.leg(s).preload) for s in sprung if inputs.leg(s).preload_known]
    if not known:
        return []
    mean = sum(preload.value for _, preload in known) / len(known)
    side, first = known[0]
    return [Label(f"fork.{side}.preload_fixed_mm", mean - suits, max(first.sd, MM), first.known, 40 * MM,
                  doubt=0.25 if first.known == "documented" else 0.0)]


def rate_labels(inputs: Inputs, sprung: Sequence[str], needed: Array) -> list[Label]:
    """Return what the springs' rate on file says of its share of the rate ``needed`` (N/m)."""
    known = [(s, rate) for s in sprung if (rate := inputs.leg(s).rate) is not None]
    if not known:
        return []
    mean = sum(rate.value for _, rate in known) / len(known)
    side, first = known[0]
    return [Label(f"fork.{side}.spring.rate_n_per_mm", mean / needed, first.sd / needed, first.known, 1.5,
                  steps=mean / needed)]


def bind_labels(inputs: Inputs, sprung: Sequence[str], squeezed: Array) -> list[Label]:
    """Return what the springs' lengths say of the stroke left to touching coils, ``squeezed`` (m) at full stroke."""
    known = [(s, c) for s in sprung if (c := inputs.leg(s).closes) is not None]
    return [Label(f"fork.{s}.spring.free_length_mm", c.value - squeezed, max(c.sd, 2 * MM), c.known, 150 * MM)
            for s, c in known[:1]]


def gauge_labels(charged: Sequence[str], case: Case, inputs: Inputs, needed: Array) -> list[Label]:
    """Return what the gauge says of the ``charged`` legs' pressure as a share of the one ``needed`` (Pa)."""
    known = [(s, inputs.leg(s).gauge) for s in charged if case.answer(f"fork.{s}.gauge_pressure_bar") is not None]
    if not known:
        return []
    side, gauge = known[0]
    return [Label(f"fork.{side}.gauge_pressure_bar", (gauge.value + inputs.closed_pressure) / needed,
                  np.maximum(gauge.sd, LEAST_GAUGE_SD) / needed, gauge.known, 2.0)]


def oil_labels(case: Case, inputs: Inputs, side: str, gas_area: Array, book_level: Array) -> list[Label]:
    """Return what level, amount poured and amount drained say of the oil above the book's, m³."""
    leg, labels = inputs.leg(side), list[Label]()
    own_work = case.value("fork.damper") == "separate function"
    if leg.level is not None and (leg.level_book is not None or not own_work):
        labels.append(Label(f"fork.{side}.oil_level_mm", gas_area * (book_level - leg.level.value),
                            gas_area * max(leg.level.sd, MM), leg.level.known, 300 * ML,
                            steps=gas_area / gas_area.mean()))
    levels = bool(labels)
    for path, found in excess_by_volume(leg, case, side):
        again = ROOT_SD if levels and leg.drained is not None and path == leg.drained.path else 1.0
        labels.append(Label(path, found.value, max(found.sd, 3 * ML) * again, found.known, 300 * ML))
    return labels


def excess_by_volume(leg: LegInputs, case: Case, side: str) -> list[tuple[str, Estimate]]:
    """Return what the amounts poured and drained say of the oil above the book's amount, m³, each with its path."""
    if leg.volume_book is None:
        return []
    pumped = case.told("service.pumped")
    known_pumped = pumped if isinstance(pumped, bool) else None
    book, found = leg.volume_book, []
    if leg.poured is not None and not poured_twice(leg):
        in_leg = oil.oil_in_leg(leg.poured.value, book.value, _text(case.value("service.filled")), known_pumped,
                                poured_sd=leg.poured.sd, book_sd=book.sd)
        if in_leg is not None:
            found.append((f"fork.{side}.oil_volume_ml", Estimate(in_leg[0] - book.value, in_leg[1], leg.poured.known)))
    if leg.drained is not None:
        out = leg.drained.amount
        was = oil.oil_in_leg_from_drained(out.value, leg.drained.pumped, drained_sd=out.sd)
        found.append((leg.drained.path, Estimate(was[0] - book.value, math.hypot(was[1], book.sd), out.known)))
    return found


def poured_twice(leg: LegInputs) -> bool:
    """True where the amount for one leg is about twice the papers': then it is the amount for both, or a slip.

    No leg takes that much, so nothing is worked out from it; the finding names it and asks.
    """
    if leg.poured is None or leg.volume_book is None or leg.volume_book.value <= 0:
        return False
    return 1.7 < leg.poured.value / leg.volume_book.value < 2.3


def _text(value: object) -> str | None:
    return value if isinstance(value, str) else None
