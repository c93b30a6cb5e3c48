"""What the parts of one run share."""
from __future__ import annotations

import math
from collections.abc import Sequence

from analysis.advice import Facts, advice_for, change_for
from analysis.amounts import LegSheet, leg_sheet
from analysis.catalogue import SIDES
from analysis.document import Case
from analysis.gates import Gate, opening_is_workshop_only
from analysis.inputs import Inputs
from analysis.preload import preload_check
from analysis.service import ServiceSheet, service_sheet
from analysis.setups import Change, excess, fork_of, gas_area, loads_of, middle, needed_rate, seal_area
from analysis.verdict import Verdict


class State:
    """What the parts of one run share: nominal forks of the three sets, loads, preload check and service sheet."""

    def __init__(self, case: Case, inputs: Inputs, judged: Verdict, gates: Sequence[Gate]) -> None:
        self.case, self.inputs, self.judged = case, inputs, judged
        self.loads = loads_of(inputs, middle)
        found = fork_of(inputs, case, "found", Change(), middle)
        book = fork_of(inputs, case, "book", Change(), middle)
        self.check = preload_check(case, inputs, found or book, self.loads)
        self.sheet = sheet_of(case, inputs)
        base = found or book
        self.facts = Facts(
            inputs, self.check, self.sheet,
            needed_rate(inputs, base, self.loads) if base else None,
            next((r.value for r in (inputs.left.rate, inputs.right.rate) if r is not None and r.value > 0), None),
            bool(opening_is_workshop_only(case)))
        cause = judged.cause if judged.kind == "cause" else None
        self.change = change_for(cause, self.facts)
        self.advice = () if gates or cause is None else advice_for(cause, self.facts)
        self.forks = {"found": found, "book": book, "advised": fork_of(inputs, case, "advised", self.change, middle)}


def sheet_of(case: Case, inputs: Inputs) -> ServiceSheet | None:
    """The service sheet, where the papers' level or amount is known for a leg at least."""
    if all(leg.level_book is None and leg.volume_book is None for leg in (inputs.left, inputs.right)):
        return None
    damper = case.value("fork.damper")
    pressurised = any(inputs.leg(side).gauge.value > 0 for side in SIDES) or None
    left, right = (_leg_amounts(case, inputs, side) for side in SIDES)
    return service_sheet(left, right, damper if isinstance(damper, str) else None, pressurised=pressurised)


def _leg_amounts(case: Case, inputs: Inputs, side: str) -> LegSheet:
    leg = inputs.leg(side)
    area, over = float(gas_area(leg, middle)), excess(inputs, case, side, middle)
    area_sd = math.pi / 2 * leg.bore_diameter.value * leg.bore_diameter.sd
    book = leg.level_book
    return leg_sheet(
        gas_area=area, seal_area=float(seal_area(leg, middle)), stroke=inputs.stroke.value,
        level_now=leg.level.value if leg.level else None, level_to_set=book.value if book else None,
        level_book=book.value if book else None, amount_book=leg.volume_book.value if leg.volume_book else None,
        steel=leg.steel.value, cap=leg.cap.value, excess=None if over is None else float(over),
        sd={"gas_area": math.hypot(area_sd, leg.inner_area.sd), "steel": leg.steel.sd, "cap": leg.cap.sd,
            "stroke": inputs.stroke.sd, "level_now": leg.level.sd if leg.level else 0.0,
            "level_to_set": book.sd if book else 0.0, "amount_book": leg.volume_book.sd if leg.volume_book else 0.0})
