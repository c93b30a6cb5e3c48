"""A tuner's own numbers, in place of those that the engine advises."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from analysis.advice import Facts
from analysis.amounts import LEVEL_TOLERANCE
from analysis.catalogue import SIDES
from analysis.estimates import MM, Estimate
from analysis.setups import Change

LEVEL_SD = LEVEL_TOLERANCE / 2
"""How exactly a level is set, standard deviation in m: nearly always inside the tolerance."""


@dataclass(frozen=True)
class Chosen:
    """Oil level of each leg (m), preload turns to add to those found, and spring rate (N/m); None: as advised."""

    levels: tuple[Estimate | None, Estimate | None] = (None, None)
    turned: float | None = None
    rate: float | None = None

    def level_of(self, side: str) -> Estimate | None:
        """Return the level chosen for a leg."""
        return self.levels[SIDES.index(side)]

    def in_place_of(self, change: Change) -> Change:
        """Return the advised change with these numbers in it."""
        return replace(change, levels=self.levels, turned=self.turned,
                       rate=change.rate if self.rate is None else self.rate)

    def in_facts(self, facts: Facts) -> Facts:
        """Return what advice draws on with these numbers in it."""
        check = facts.preload if self.turned is None else replace(facts.preload, turns=self.turned)
        return replace(facts, preload=check, own_rate=self.rate, own_levels=any(self.levels))


ENGINES = Chosen()
"""The engine's own numbers."""


def read_chosen(numbers: Mapping[str, Any]) -> Chosen:
    """Return a tuner's numbers from the trade's units: ``level_left_mm``, ``level_right_mm``, ``turns``,
    ``rate_n_per_mm``; what is missing or None stays as advised."""
    levels = [numbers.get(f"level_{side}_mm") for side in SIDES]
    left, right = (None if level is None else Estimate(float(level) * MM, LEVEL_SD, "chosen") for level in levels)
    rate, turns = numbers.get("rate_n_per_mm"), numbers.get("turns")
    return Chosen((left, right), None if turns is None else float(turns),
                  None if rate is None else float(rate) / MM)
