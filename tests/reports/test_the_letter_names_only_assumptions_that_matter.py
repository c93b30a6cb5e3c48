"""What we assumed is named in the letter where it could change the advice; the findings keep all of it."""
from __future__ import annotations

from reports.letter_parts import against, assumptions

FINDINGS = {"assumed": [
    {"path": "fork.left.cap_ml", "value": 0.0, "unit": "ml", "reason": "It is counted as nothing."},
    {"path": "fork.left.air_bar", "value": 0, "unit": "bar", "reason": "No air was said to be in it."},
    {"path": "fork.left.oil_level_mm", "value": 130.0, "unit": "mm", "reason": "It is usual for this kind."},
]}


def test_an_assumption_of_nothing_is_no_doubt() -> None:
    words = against(FINDINGS)
    assert "130" in words and "0 ml" not in words and "0 bar" not in words


def test_the_whole_list_keeps_it() -> None:
    assert len(assumptions(FINDINGS)) == 3
