"""Exact oil amounts for one leg, and how sure each of them is."""
from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from analysis.air import compressed_volume, extended_volume
from analysis.oil import RESIDUE, level_volume

LEVEL_TOLERANCE = 0.002
"""How near to the set level, and to the other leg, the oil has to end up, in m: common practice, no source."""

RIM = 0.02
"""Oil that comes nearer to the rim than this, in m, is drawn off on the way: common practice, no source."""

SMALL = 1e-3
"""Step of the numeric slopes, as a share of an input's standard deviation."""

Inputs = Mapping[str, float | None]


@dataclass(frozen=True)
class LegSheet:
    """What to do to the oil of one leg; SI, None where an input is not known.

    ``draw_off`` is negative where oil has to be added.  ``air_volume`` is what the set level leaves at full stroke,
    zero or less where the leg would lock short of it, and then ``ratio`` is None.  ``spread`` holds the standard
    deviation of each amount that is known, by field name.
    """

    level_now: float | None = None
    level_to_set: float | None = None
    level_tolerance: float = LEVEL_TOLERANCE
    draw_off: float | None = None
    dry_fill: float | None = None
    drained_fill: float | None = None
    not_pumped_fill: float | None = None
    air_volume: float | None = None
    ratio: float | None = None
    spread: Mapping[str, float] = field(default_factory=dict)
    stands: float | None = None
    """Where the oil stands now by a reading or by what else is known; less than nothing is over the rim."""

    @property
    def runs_over(self) -> bool:
        """Whether pushing the leg together may bring the oil over the top of the tube."""
        return self.stands is not None and self.stands < RIM

    @property
    def would_lock(self) -> bool:
        """Whether the level to set leaves no air at full stroke."""
        return self.air_volume is not None and self.air_volume <= 0

    @property
    def is_right(self) -> bool:
        """Whether the oil already stands at the level to set."""
        if self.level_now is None or self.level_to_set is None:
            return False
        return abs(self.level_to_set - self.level_now) <= self.level_tolerance


def leg_sheet(
    *, gas_area: float | None = None, seal_area: float | None = None, stroke: float | None = None,
    level_now: float | None = None, level_to_set: float | None = None, level_book: float | None = None,
    amount_book: float | None = None, steel: float | None = None, cap: float | None = None,
    excess: float | None = None, sd: Mapping[str, float] | None = None,
) -> LegSheet:
    """Return the amounts for one leg; lengths in m, areas in m², volumes in m³, levels for a leg together, spring out.

    - draw off ``A_g (h_set − h_now)``; with no level read, ``excess`` (oil above the level to set, from another way);
    - dry fill: the book's amount for a dry leg, less ``A_g (h_set − h_book)`` where another level is to be set;
    - drained and pumped, or only drained: what stays behind counts, so dry fill × 0.95 or × 0.85;
    - air ``A_g h_set − V_steel − V_cap`` and ratio ``(V_c + A_s S)/V_c``.

    ``sd`` holds the standard deviations of the inputs by their names here; each amount's spread follows from them to
    first order, the inputs taken as independent.  The shares that stay behind are common practice, no source.
    """
    spreads = dict(sd or {})
    inputs = {
        "gas_area": gas_area, "seal_area": seal_area, "stroke": stroke, "level_now": level_now,
        "level_to_set": level_to_set, "amount_book": amount_book, "steel": steel, "cap": cap, "excess": excess,
        "lowered": _lowered(level_to_set, level_book), "pumped": RESIDUE["pumped"][0],
        "not_pumped": RESIDUE["not pumped"][0],
    }
    # A level set as in the papers reaches the papers' amount whatever that level is: its spread cancels.
    spreads["lowered"] = spreads.get("level_book", 0.0) if inputs["lowered"] else 0.0
    spreads |= {"pumped": RESIDUE["pumped"][1], "not_pumped": RESIDUE["not pumped"][1]}
    found = {name: _spread(compute, inputs, spreads) for name, compute in _AMOUNTS.items()}
    return LegSheet(
        level_now=level_now, level_to_set=level_to_set, draw_off=_draw_off(inputs), dry_fill=_dry_fill(inputs),
        drained_fill=_drained_fill(inputs), not_pumped_fill=_not_pumped_fill(inputs), air_volume=_air_volume(inputs),
        ratio=_ratio(inputs), stands=_stands(inputs),
        spread={name: value for name, value in found.items() if value is not None})


def _lowered(level_to_set: float | None, level_book: float | None) -> float | None:
    """Return how far below the book's level the oil shall stand; 0 with no level to set: the book's amount then."""
    if level_to_set is None:
        return 0.0
    return None if level_book is None else level_to_set - level_book


def _spread(compute: Callable[[Inputs], float | None], inputs: Inputs, spreads: Mapping[str, float]) -> float | None:
    """Return the standard deviation of one amount, ``√Σ(∂f/∂u × sd_u)²``; None where the amount is not known."""
    total = 0.0
    for name, sd in spreads.items():
        value = inputs.get(name)
        if value is None or not sd:
            continue
        step = SMALL * sd
        above, below = compute({**inputs, name: value + step}), compute({**inputs, name: value - step})
        if above is None or below is None:
            return None
        total += ((above - below) / (2 * SMALL)) ** 2
    return None if compute(inputs) is None else math.sqrt(total)


def _have(inputs: Inputs, *names: str) -> tuple[float, ...] | None:
    """Return the named inputs, or None where one of them is not known."""
    values = tuple(value for name in names if (value := inputs[name]) is not None)
    return values if len(values) == len(names) else None


def _draw_off(inputs: Inputs) -> float | None:
    if known := _have(inputs, "gas_area", "level_now", "level_to_set"):
        area, now, to_set = known
        return float(level_volume(area, to_set - now))
    return inputs["excess"]


def _stands(inputs: Inputs) -> float | None:
    known = _have(inputs, "excess", "level_to_set", "gas_area")
    if inputs["level_now"] is not None or known is None or known[2] <= 0:
        return inputs["level_now"]
    excess, to_set, area = known
    return to_set - excess / area


def _dry_fill(inputs: Inputs) -> float | None:
    known = _have(inputs, "amount_book", "lowered")
    if known is None:
        return None
    amount, lowered = known
    if lowered == 0:
        return amount
    area = inputs["gas_area"]
    return None if area is None else float(amount - level_volume(area, lowered))


def _drained_fill(inputs: Inputs) -> float | None:
    return _poured(inputs, "pumped")


def _not_pumped_fill(inputs: Inputs) -> float | None:
    return _poured(inputs, "not_pumped")


def _poured(inputs: Inputs, residue: str) -> float | None:
    """Return the amount to pour where the share ``residue`` of the oil is still in the leg."""
    dry, known = _dry_fill(inputs), _have(inputs, residue)
    return dry * (1 - known[0]) if dry is not None and known else None


def _air_volume(inputs: Inputs) -> float | None:
    known = _have(inputs, "gas_area", "level_to_set", "steel", "cap")
    return None if known is None else float(compressed_volume(*known))


def _ratio(inputs: Inputs) -> float | None:
    air, known = _air_volume(inputs), _have(inputs, "seal_area", "stroke")
    if air is None or air <= 0 or known is None:
        return None
    return float(extended_volume(air, *known)) / air


_AMOUNTS: dict[str, Callable[[Inputs], float | None]] = {
    "draw_off": _draw_off, "dry_fill": _dry_fill, "drained_fill": _drained_fill, "not_pumped_fill": _not_pumped_fill,
    "air_volume": _air_volume, "ratio": _ratio,
}
