"""What the parts of one run share."""
from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from analysis.advice import Facts, advice_for, change_for
from analysis.amounts import LegSheet, leg_sheet
from analysis.catalogue import SIDES
from analysis.chosen import ENGINES, Chosen
from analysis.document import Case
from analysis.estimates import Estimate
from analysis.gates import Gate, opening_is_workshop_only
from analysis.inputs import Inputs
from analysis.leg_parts import Pick, middle
from analysis.oil_part import thickness
from analysis.preload import preload_check
from analysis.say import say
from analysis.service import ServiceSheet, service_sheet
from analysis.setups import (
    Change,
    drawing,
    excess,
    fork_of,
    gas_area,
    loads_of,
    needed_rate,
    seal_area,
    spread_of,
)
from analysis.verdict import Verdict


class State:
    """What the parts of one run share: nominal forks of the three sets, loads, preload check and service sheet."""

    def __init__(self, case: Case, inputs: Inputs, judged: Verdict, gates: Sequence[Gate],
                 rng: np.random.Generator, chosen: Chosen = ENGINES) -> None:
        self.case, self.inputs, self.judged = case, inputs, judged
        self.loads = loads_of(inputs, middle)
        found = fork_of(inputs, case, "found", Change(), middle)
        book = fork_of(inputs, case, "book", Change(), middle)
        self.check = preload_check(case, inputs, found or book, self.loads)
        self.sheet = sheet_of(case, inputs, drawing(rng), chosen)
        base = found or book
        self.facts = Facts(
            inputs, self.check, self.sheet,
            needed_rate(inputs, base, self.loads) if base else None,
            next((r.value for r in (inputs.left.rate, inputs.right.rate) if r is not None and r.value > 0), None),
            bool(kept_closed(case)), found is not None, own_work=case.value("fork.damper") == "separate function",
            inside_known=case.told("fork.damper") is not None, oil_times=thickness(case))
        self.facts = chosen.in_facts(self.facts)
        cause = judged.cause if judged.kind == "cause" else None
        self.engines = change_for(cause, self.facts)
        self.change = chosen.in_place_of(self.engines)
        self.advice = () if gates or cause is None else advice_for(cause, self.facts)
        self.forks = {"found": found, "book": book, "advised": fork_of(inputs, case, "advised", self.change, middle)}


def kept_closed(case: Case) -> tuple[str, ...]:
    """Return why a workshop, and nobody else, opens these legs; empty where nothing speaks against it."""
    reasons = opening_is_workshop_only(case)
    held = [side for side in SIDES if (case.number(f"fork.{side}.gauge_pressure_bar") or 0.0) > 0]
    if not reasons and case.value("fork.springing") == "air":
        return (say("An air-sprung leg holds pressure: a workshop lets it off and opens it."),)
    if reasons or not held:
        return reasons
    return (say("There is air under pressure in both legs: a workshop lets it off and opens it.") if len(held) > 1
            else say("There is air under pressure in the {side} leg: a workshop lets it off and opens it.",
                     side=held[0]),)


def sheet_of(case: Case, inputs: Inputs, pick: Pick, chosen: Chosen = ENGINES) -> ServiceSheet | None:
    """The service sheet, where the papers' level or amount, or a tuner's own level, is known for a leg at least."""
    if not any(chosen.levels) and all(
            leg.level_book is None and leg.volume_book is None for leg in (inputs.left, inputs.right)):
        return None
    damper = case.value("fork.damper")
    left, right = (_leg_amounts(case, inputs, side, pick, chosen.level_of(side)) for side in SIDES)
    return service_sheet(left, right, damper if isinstance(damper, str) else None,
                         pressurised=bool(kept_closed(case)) or None, guessed=case.told("fork.damper") is None)


def _leg_amounts(case: Case, inputs: Inputs, side: str, pick: Pick, own: Estimate | None) -> LegSheet:
    leg = inputs.leg(side)
    area, over = float(gas_area(leg, middle)), excess(inputs, case, side, middle)
    area_sd = math.pi / 2 * leg.bore_diameter.value * leg.bore_diameter.sd
    book = leg.level_book
    to_set = own or book
    if over is not None and own is not None:  # oil above the level to set, which is not the book's
        over = None if book is None else over + area * (own.value - book.value)
    return leg_sheet(
        gas_area=area, seal_area=float(seal_area(leg, middle)), stroke=inputs.stroke.value,
        level_now=leg.level.value if leg.level else None, level_to_set=to_set.value if to_set else None,
        level_book=book.value if book else None, amount_book=leg.volume_book.value if leg.volume_book else None,
        steel=leg.steel.value, cap=leg.cap.value, excess=None if over is None else float(over),
        sd={"excess": spread_of(excess(inputs, case, side, pick)) or 0.0,
            "gas_area": math.hypot(area_sd, leg.inner_area.sd), "steel": leg.steel.sd, "cap": leg.cap.sd,
            "stroke": inputs.stroke.sd, "level_now": _sd(leg.level), "level_to_set": _sd(to_set),
            "level_book": _sd(book), "amount_book": _sd(leg.volume_book)})


def _sd(estimate: Estimate | None) -> float:
    return 0.0 if estimate is None else estimate.sd
