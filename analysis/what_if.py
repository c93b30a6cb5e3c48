"""What if: any answer changed, the curves and figures of the fork again, fast enough for a slider under a finger."""
from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

import numpy as np

from analysis.curves import curve, marks
from analysis.document import parse_case
from analysis.fork_part import fork_part
from analysis.gates import safety_gates
from analysis.inputs import read_inputs
from analysis.setups import SETS
from analysis.state import State
from analysis.verdict import Verdict

SEED = 1
"""One seed for all moves of a slider, so that a band does not tremble."""


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


def what_if(document: Mapping[str, Any], changes: Mapping[str, Any], cause: str | None = None) -> dict[str, Any]:
    """Return the fork's figures, ruler marks and curves with some answers changed.

    ``cause``: the cause that the advised set is to deal with; None for the oil level alone.  The odds are not weighed
    again: that is the full assessment's work.  Raises ``CaseFaults`` where a changed answer cannot be accepted.
    """
    case = parse_case(with_changes(document, changes))
    gates = safety_gates(case)
    rng = np.random.default_rng(SEED)
    state = State(case, read_inputs(case), Verdict("cause" if cause else "cannot tell yet", cause, "", ()), gates, rng)
    stopped = any(gate.end in ("front", "both") for gate in gates)
    fork = fork_part(state, rng, stopped)
    return {"fork": fork, "marks": marks(state.forks, fork, case, state.inputs), "curves": [
        curve(name, drawn) for name in SETS if (drawn := state.forks[name]) is not None
        and not (stopped and name == "advised")]}
