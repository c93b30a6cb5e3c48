"""What if: any answer changed, the curves and figures of the fork again, fast enough for a slider under a finger."""
from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from analysis.chosen import ENGINES, Chosen
from analysis.curves import curve, marks
from analysis.document import Case, parse_case
from analysis.estimates import Estimate
from analysis.fork_part import fork_part
from analysis.gates import safety_gates
from analysis.inputs import Inputs, read_inputs
from analysis.objections import objections
from analysis.parts import service_part
from analysis.set_numbers import set_numbers
from analysis.setups import SETS
from analysis.state import State
from analysis.verdict import Verdict
from analysis.warmth import ROOM_TEMPERATURE

SEED = 1
"""One seed for all moves of a slider, so that a band does not tremble."""
DRAWS = 80
"""Draws behind a band: enough to see, few enough for a finger."""


@dataclass(frozen=True)
class Conditions:
    """Under what both sets are looked at: the air's exponents, and how warm the oil is (K).  None: as ever."""

    slow: float | None = None
    fast: float | None = None
    oil_temperature: float | None = None

    def on(self, inputs: Inputs, case: Case) -> Inputs:
        """Return the inputs under these conditions."""
        if self.slow is not None:
            inputs = replace(inputs, slow=Estimate(self.slow, 0.0, "chosen"))
        if self.fast is not None:
            inputs = replace(inputs, fast=Estimate(self.fast, 0.0, "chosen"))
        if self.oil_temperature is None:
            return inputs
        filled = case.number("use.temperature_c")
        return replace(inputs, warm=(ROOM_TEMPERATURE if filled is None else filled, self.oil_temperature))


USUAL = Conditions()


def with_changes(document: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return a copy of a case document with some answers changed: paths and values as in the document.

    A value of None takes the answer out.
    """
    changed: dict[str, Any] = copy.deepcopy(dict(document))
    for path, value in changes.items():
        *groups, name = path.split(".")
        node = changed
        for group in groups:
            inner = node.get(group)
            node[group] = inner if isinstance(inner, dict) else {}
            node = node[group]
        if value is None:
            node.pop(name, None)
        else:
            node[name] = value
    return changed


def what_if(document: Mapping[str, Any], changes: Mapping[str, Any], cause: str | None = None,
            chosen: Chosen = ENGINES, conditions: Conditions = USUAL) -> dict[str, Any]:
    """Return the fork's figures, ruler marks and curves with some answers changed.

    ``cause``: the cause that the advised set is to deal with; None for the oil level alone.  The odds are not weighed
    again: that is the full assessment's work.  ``chosen``: a tuner's own numbers in place of the advised ones;
    ``numbers`` then says them beside those found and the engine's, ``objections`` what speaks against them, and
    ``service`` the sheet that they make.  Raises ``CaseFaults`` where a changed answer cannot be accepted.
    """
    case = parse_case(with_changes(document, changes))
    gates = safety_gates(case)
    rng = np.random.default_rng(SEED)
    inputs = conditions.on(read_inputs(case), case)
    state = State(case, inputs, Verdict("cause" if cause else "cannot tell yet", cause, "", ()), gates, rng, chosen)
    stopped = any(gate.end in ("front", "both") for gate in gates)
    fork = fork_part(state, rng, stopped, DRAWS)
    return {
        "fork": fork, "marks": marks(state.forks, fork, case, state.inputs),
        "curves": [curve(name, drawn, inputs.fast.value) for name in SETS if (drawn := state.forks[name]) is not None
                   and not (stopped and name == "advised")],
        "numbers": set_numbers(state), "service": None if stopped else service_part(state.sheet),
        "objections": [asdict(one) for one in objections(state, chosen, stopped)]}
