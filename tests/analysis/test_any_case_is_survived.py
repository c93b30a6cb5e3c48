"""Random cases built from the catalogue, the ends of what is possible included: findings, never a crash."""
from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis import CaseFaults, engine, parse_case, posterior
from analysis.catalogue import QUESTIONS, Question
from tests.reference_fork import Document


def values(question: Question) -> st.SearchStrategy[Any]:
    if question.kind == "quantity":
        assert question.possible is not None and question.usual is not None
        return st.sampled_from(question.possible) | st.floats(*question.possible) | st.floats(*question.usual)
    if question.kind == "yes_no":
        return st.booleans()
    if question.kind == "text":
        return st.just("words")
    if question.kind == "table":
        return st.sampled_from(["0:0 20:9.8 40:19.9 60:30.4", "0:0 300:10", "0:0 1:100"])
    choice = st.sampled_from([c.value for c in question.choices])
    return choice if question.kind == "choice" else st.lists(choice, max_size=4, unique=True)


def answers(question: Question) -> st.SearchStrategy[Any]:
    known = st.sampled_from(["measured", "documented", "remembered", "guessed"])
    plain = values(question)
    return st.none() | plain | st.builds(lambda value, how: {"value": value, "known": how}, plain, known)


told = st.lists(st.sampled_from(sorted(QUESTIONS)).flatmap(
    lambda path: st.tuples(st.just(path), answers(QUESTIONS[path]))), max_size=90).map(dict)


def nested(flat: dict[str, Any]) -> Document:
    document: Document = {}
    for path, answer in flat.items():
        *groups, key = path.split(".")
        here = document
        for group in groups:
            here = here.setdefault(group, {})
        here[key] = answer
    return document


def accepted(flat: dict[str, Any]) -> Document:
    """The document with every answer left out that contradicts another."""
    while True:
        try:
            parse_case(nested(flat))
            return nested(flat)
        except CaseFaults as faults:
            flat = {path: answer for path, answer in flat.items() if path not in {f.path for f in faults.faults}}


@settings(max_examples=20,
          suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(told)
def test_any_document_that_is_taken_gets_findings(monkeypatch: pytest.MonkeyPatch, flat: dict[str, Any]) -> None:
    def few(case: Any, inputs: Any, rng: np.random.Generator, _: int = 0, *more: Any, **named: Any,
            ) -> posterior.Posterior:
        return posterior.assess(case, inputs, rng, 30, *more, **named)

    monkeypatch.setattr(engine, "assess", few)
    case = parse_case(accepted(flat))
    found = engine.analyse(case, np.random.default_rng(1)).as_document()
    text = json.dumps(found, allow_nan=False)
    assert " nan " not in text and " inf " not in text
    assert sum(cause["probability"] for cause in found["causes"]) == pytest.approx(1.0, abs=3e-3)
    for which in ("found", "book", "advised"):
        used = found["fork"]["usable_stroke_mm"][which]
        for side in ("left", "right"):
            part = found["fork"][side] if which == "found" else found["fork"][side][which]
            assert used is None or part["lock_stroke_mm"] is None or used <= part["lock_stroke_mm"] + 0.11
    if found["stop_riding"]:
        assert found["advice"] == [] and found["next_test"] is None and found["verdict"]["kind"] == "stop"
