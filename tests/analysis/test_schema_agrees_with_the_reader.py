"""The published JSON Schema and the reader of case documents accept the same forms."""
from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.catalogue import QUESTIONS, Question
from analysis.document import faults_of
from analysis.schema import case_schema

DEMO = sorted((Path(__file__).parents[2] / "fixtures" / "demo").glob("*.json"))
KNOWN = ["measured", "documented", "remembered", "guessed"]


@cache
def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(case_schema())


def nested(path: str, raw: object) -> dict[str, Any]:
    document: Any = raw
    for key in reversed(path.split(".")):
        document = {key: document}
    assert isinstance(document, dict)
    return document


def sound_value(question: Question) -> st.SearchStrategy[Any]:
    if question.kind == "quantity":
        low, high = question.possible or (0, 1)
        return st.floats(low, high) | st.floats(low, high).map(lambda number: f"{number:.6f}")
    if question.kind == "yes_no":
        return st.sampled_from([True, False, "yes", "no"])
    if question.kind == "text":
        return st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=30)
    if question.trace:
        return st.lists(st.floats(-300, 300), min_size=20, max_size=40).map(
            lambda heights: [[n / 60, height] for n, height in enumerate(heights)])
    if question.kind == "table":
        return st.lists(st.integers(1, 40), min_size=2, max_size=9).map(
            lambda steps: " ".join(f"{sum(steps[:n])}:{sum(steps[:n]) / 2:g}" for n in range(len(steps) + 1)))
    choice = st.sampled_from([choice.value for choice in question.choices])
    return choice if question.kind == "choice" else choice | st.lists(choice, max_size=4)


def sound_answer(question: Question) -> st.SearchStrategy[Any]:
    value = sound_value(question)
    wrapped = st.fixed_dictionaries({"value": value | st.none()}, optional={"known": st.sampled_from(KNOWN)})
    return value | wrapped | st.sampled_from([None, {"known": "unknown"}])


ANSWERS = st.sampled_from(sorted(QUESTIONS)).flatmap(
    lambda path: st.tuples(st.just(path), sound_answer(QUESTIONS[path])))


def test_the_schema_is_valid_json_schema_and_json() -> None:
    schema = case_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert json.loads(json.dumps(schema)) == schema


def test_every_question_stands_in_the_schema_with_its_title() -> None:
    schema = case_schema()
    for path, question in QUESTIONS.items():
        node = schema
        for key in path.split("."):
            node = node["properties"][key]
        assert node["title"] == question.title
        for ends, words in ((question.possible, "From {:g} to {:g}"), (question.usual, "usually {:g} to {:g}")):
            assert ends is None or words.format(*ends) in node["description"]


@given(ANSWERS)
def test_both_accept_a_sound_answer(answer: tuple[str, object]) -> None:
    document = nested(*answer)
    assert faults_of(document) == ()
    assert validator().is_valid(document), document


@pytest.mark.parametrize("document", [
    {"bike": {"mass": 200}}, {"forks": {}}, {"bike": {"mass_kg": True}}, {"bike": {"mass_kg": {"worth": 5}}},
    {"bike": {"mass_kg": []}}, {"bike": {"mass_kg": 5000}}, {"bike": {"mass_kg": ""}}, {"bike": {"mass_kg": {}}},
    {"bike": {"mass_kg": {"value": 200, "known": "sure"}}}, {"bike": {"mass_kg": {"known": "measured"}}},
    {"bike": {"mass_kg": {"value": 200, "unit": "kg"}}}, {"bike": 5}, {"bike": {"kind": "flying carpet"}},
    {"safety": {"stuck_down": 1}}, {"complaint": {"symptoms": ["swims"]}}, {"complaint": {"symptoms": {}}},
    {"complaint": {"words": 5}}, {"bench": {"rebound": {"trace": [[0, 1, 2]] * 25}}},
    {"bench": {"rebound": {"trace": [[n, "deep"] for n in range(25)]}}},
    {"schema": 2}, {"schema": "1"}, {"title": 5}, [], None, "case",
])
def test_both_refuse_a_wrong_form(document: object) -> None:
    assert faults_of(document)
    assert not validator().is_valid(document)


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_the_demo_cases_pass_both(path: Path) -> None:
    document = json.loads(path.read_text(encoding="utf-8"))
    assert faults_of(document) == ()
    validator().validate(document)


def test_there_are_demo_cases_to_check() -> None:
    assert len(DEMO) >= 5


def test_every_number_has_its_possible_range() -> None:
    for question in QUESTIONS.values():
        if question.kind == "quantity":
            assert question.possible is not None and question.possible[0] < question.possible[1]
            assert question.usual is None or question.possible[0] <= question.usual[0] < question.usual[1]


@pytest.mark.parametrize("path", ["fork", "fork.left", "fork.left.spring", "bench.sag"])
def test_a_group_is_an_object_and_nothing_else(path: str) -> None:
    for raw in (5, "x", [1], True):
        assert not validator().is_valid(nested(path, raw)) and faults_of(nested(path, raw))
    assert validator().is_valid(nested(path, {}) | {"schema": 1})
