"""Whatever JSON is handed in: a case or a list of faults, nothing else."""
from __future__ import annotations

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from analysis.catalogue import QUESTIONS
from analysis.document import CaseFaults, echo, parse_case, read_json

PATHS = sorted(QUESTIONS)
SCALARS = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20) | st.sampled_from(
    ["4.3 in", "1,250", "yes", "unknown", "stops dead", "10**10**10", 10**400, "guessed", "ring"])
JSON = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["value", "known", "left", "fork", "spring"]) | st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


def nested(raw: dict[str, Any]) -> dict[str, Any]:
    document: dict[str, Any] = {}
    for path, value in raw.items():
        *groups, key = path.split(".")
        node = document
        for group in groups:
            node = node.setdefault(group, {})
        node[key] = value
    return document


def parse(document: object) -> None:
    try:
        case = parse_case(document)
    except CaseFaults as faults:
        assert faults.faults and str(faults)
        return
    assert not case.answers.keys() & case.unknown
    assert case.answers.keys() | case.unknown <= QUESTIONS.keys()
    for answer in case.answers.values():
        assert answer.sd >= 0 and answer.sd < 1e12


@given(JSON)
def test_any_json_is_a_case_or_faults(document: object) -> None:
    parse(document)


@given(st.dictionaries(st.sampled_from(PATHS), JSON, max_size=6))
def test_anything_in_the_place_of_an_answer_is_a_case_or_faults(answers: dict[str, Any]) -> None:
    parse(nested(answers))
    for path, raw in answers.items():
        echo(path, raw)


@given(st.text(max_size=60) | JSON.map(lambda value: json.dumps(value, default=str)))
def test_any_text_is_json_or_faults(text: str) -> None:
    try:
        read_json(text)
    except CaseFaults as faults:
        assert faults.faults


def test_groups_inside_groups_without_end_are_a_fault() -> None:
    deep: dict[str, Any] = {}
    node = deep
    for _ in range(100_000):
        node["fork"] = node = {}
    parse({"fork": {"left": deep}, "bike": deep})
    parse({"bike": {"mass_kg": {"value": deep}}})
