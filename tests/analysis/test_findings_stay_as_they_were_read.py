"""Nothing that was said of a few whole cases changes unnoticed: no source, what was read through and kept."""
from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from tests.analysis.told_findings import TOLD, findings, steady

KEPT = json.loads(TOLD.read_text(encoding="utf-8"))


def changes(kept: Any, said: Any, path: str = "") -> Iterator[str]:
    """What is no longer there or is another; a number may differ in its last place, and None says nothing."""
    if isinstance(kept, dict):
        for key, part in kept.items():
            yield from changes(part, said.get(key) if isinstance(said, dict) else None, f"{path}.{key}")
    elif isinstance(kept, list):
        if not isinstance(said, list) or len(kept) != len(said):
            yield path
        else:
            for n, (part, other) in enumerate(zip(kept, said, strict=True)):
                yield from changes(part, other, f"{path}[{n}]")
    elif isinstance(kept, float) and isinstance(said, float):
        if said != pytest.approx(kept, rel=1e-3, abs=0.051):
            yield f"{path}: {said} in place of {kept}"
    elif kept is not None and kept != said:
        yield f"{path}: {said} in place of {kept}"


@pytest.mark.parametrize("name", KEPT)
def test_the_findings_of_a_case_are_as_they_were_read(name: str) -> None:
    said = findings(name, KEPT[name]["number"], 51)
    assert list(changes(KEPT[name]["said"], steady(said, said))) == [], "meant? python -m tests.analysis.told_findings"
