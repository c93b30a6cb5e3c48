"""What one assessment holds at its fullest, beside what is loaded anyway."""
from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.bench
ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "fixtures" / "demo"

CHILD = """
import json, sys, tracemalloc
import numpy as np
from analysis import analyse, parse_case
case = parse_case(json.load(open(sys.argv[1], encoding="utf-8")))
tracemalloc.start()
analyse(case, np.random.default_rng(1))
print(json.dumps(tracemalloc.get_traced_memory()[1]))
"""


@pytest.mark.parametrize("name", sorted(path.stem for path in DEMO.glob("*.json")))
def test_an_assessment_stays_small(name, report):
    done = subprocess.run([sys.executable, "-c", CHILD, str(DEMO / f"{name}.json")], cwd=ROOT, check=True,
                          capture_output=True, text=True)
    report(f"memory of an assessment of {name}", json.loads(done.stdout) / 1e6, 150, "MB")
