"""Where a workshop did the job, neither the rider's letter nor the workshop's sheet says whose doing it was."""
from __future__ import annotations

import re

import numpy as np
import pytest

from analysis import analyse, engine, parse_case
from analysis.posterior import assess
from analysis.verdict import Verdict
from reports.service_sheet import sheet_data
from reports.wording import letter_text
from tests.reference_fork import case as reference_case
from tests.reports.test_a_letter_for_every_cause import BY_NAME, HEAD

BLAME = re.compile(r"(?i)\b(blam\w+|fault of|at fault|guilt\w*|careless\w*|neglig\w+|sloppy|botch\w*|incompeten\w+|"
                   r"your (shop|workshop|mechanic) (did|made|put|left|over)\w*|should have (been )?\w+|their mistake|"
                   r"the (shop|workshop|mechanic)('s)? (mistake|error|fault))\b")


@pytest.mark.parametrize("name", ["over-filled", "wrong assembly", "unequal oil", "bent part"])
def test_neither_wording_blames_the_workshop(name):
    told = parse_case(reference_case(both={"oil_level_mm": 60}, fork={"springing": "coil", "damper": "damper rod"},
                                     bench={"oil": {"condition": "extended spring out"}},
                                     service={"by": "workshop", "done": ["oil"], "filled": "level set"}))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "verdict", lambda *_: Verdict("cause", name, f"Most likely: {BY_NAME[name].title}.", ()))
        patch.setattr(engine, "assess", lambda case, inputs, rng, *_, **__: assess(case, inputs, rng, 60))
        findings = analyse(told, np.random.default_rng(3)).as_document()
    for words in (letter_text(findings, HEAD, told), str(sheet_data(findings))):
        assert not BLAME.search(words), BLAME.search(words)
