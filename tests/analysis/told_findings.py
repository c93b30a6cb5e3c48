"""What the engine said of a few cases when it was last read through, without what rests on draws.

Written anew, after a change that was meant, with ``python -m tests.analysis.told_findings``; the difference is to be
read before it is kept.
"""
from __future__ import annotations

import json
from functools import reduce
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from analysis import CaseFaults, analyse, engine, parse_case, posterior
from analysis.causes import CAUSES
from tests.analysis.test_findings_schema import documents

TOLD = Path(__file__).with_name("told_findings.json")
DRAWN = ("phrases", "causes", "hidden", "next_test", "tests", "verdict", "engines_verdict", "spread", "spread_mm",
         "curves", "curve")
EACH = 7
"""Of the golden and demo cases every so many are kept."""


def findings(name: str, number: int, seed: int) -> dict[str, Any]:
    """What is said of a case by few draws, as if a tuner had named one of the causes: another one for each case."""
    few = patch.object(engine, "assess", lambda case, inputs, rng, *_, **__: posterior.assess(case, inputs, rng, 30))
    with few:
        told = parse_case(documents()[name])
        return analyse(told, np.random.default_rng(seed), view=CAUSES[number % len(CAUSES)].name).as_document()


def steady(one: Any, other: Any) -> Any:
    """The parts that two runs with other draws have in common; None for the rest."""
    if isinstance(one, dict) and isinstance(other, dict):
        return {key: kept for key, part in one.items() if key not in DRAWN and key in other
                and (kept := steady(part, other[key])) not in (None, {}, [])}
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        kept = [steady(a, b) for a, b in zip(one, other, strict=True)]
        return kept
    return one if one == other else None


def main() -> None:
    """Write the file anew."""
    names, told = [*documents()][::EACH] + ["rare parts"], {}
    for number, name in enumerate(names):
        try:
            said = reduce(steady, (findings(name, number, seed) for seed in range(40)))
        except CaseFaults:
            continue
        told[name] = {"number": number, "said": said}
    TOLD.write_text(json.dumps(told, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
