"""Figures, letter and tagged PDF against bare lines and an empty page."""
import io
import json
from pathlib import Path

import numpy as np
import pytest
import typst
from matplotlib.figure import Figure

from analysis import analyse, parse_case
from reports.figures import figures
from reports.pdf import report_pdf
from reports.wording import letter_text
from tests.bench.conftest import median_seconds

pytestmark = pytest.mark.bench
CASE = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "01-wall-after-the-oil-change.json"
HEAD = {"number": "FB-BENCH1", "round": 1, "rider_name": "", "title": "Bench", "date": "1 May 2026", "tuner": "tuner"}


def bare() -> None:
    """What nobody can do without: six figures of one line each, and an empty page."""
    for _ in range(6):
        axes = Figure(figsize=(6, 4)).add_axes((0.1, 0.1, 0.8, 0.8))
        axes.plot([0, 1], [0, 1])
        axes.figure.savefig(io.BytesIO(), format="svg")
    typst.compile(b"#set document(title: \"x\")\n", format="pdf")


def test_a_warm_draft_costs_little_more_than_bare_lines(benchmark, report):
    case = parse_case(json.loads(CASE.read_text()))
    findings = analyse(case, np.random.default_rng(1)).as_document()

    def draft() -> bytes:
        drawn = figures(findings)
        return report_pdf(letter_text(findings, HEAD, case), findings, drawn, HEAD)

    assert draft().startswith(b"%PDF-")
    benchmark.pedantic(draft, rounds=5, warmup_rounds=1)
    found = benchmark.stats.stats.median
    report("warm draft with figures and PDF, as times its floor", found / median_seconds(bare, 5), 3, "x")
    report("warm draft with figures and PDF", found, 1, "s")
