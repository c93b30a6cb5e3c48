"""The published schema of the findings: every part of every case's findings is in it, with its meaning and its unit."""
from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import jsonschema_specifications
import numpy as np
import pytest

from analysis import CaseFaults, analyse, engine, parse_case, posterior
from analysis.findings_schema import findings_schema
from analysis.schema import case_schema
from analysis.schema_words import band
from tests.reference_fork import Document, case

FIXTURES = Path(__file__).parents[2] / "fixtures"
UNITS = {"mm": "mm", "ml": "ml", "n": "N", "nm": "N·m", "deg": "degrees", "kg": "kg", "hz": "Hz", "s": "s", "c": "°C",
         "cst": "mm²/s", "bits": "bits", "bar": "bar", "g": "g"}
RARE: Document = {
    "bike": {"fork_offset_mm": 30, "wheel_radius_front_mm": 300, "wheelbase_mm": 1400, "gravity_height_mm": 600},
    "shock": {"wheel_travel_mm": 130, "stroke_mm": 52, "preload_mm": 12, "spring": {"rate_n_per_mm": 95},
              "preload_turns_in": 4, "preload_turns_range": 12, "preload_pitch_mm_per_turn": 1.5},
    "bench": {"rear_bounce": {"return_s": 1.6, "swings": "two or more", "trace": [[n / 50, 0.0] for n in range(60)]},
               "sag": {"free_sag_mm": 25, "rider_sag_mm": 38}},
    "use": {"temperature_c": 5, "pillion_kg": 60, "luggage_kg": 10}}


def documents() -> dict[str, Any]:
    """Every golden case and every demo case, and one that has parts which those lack."""
    read = {path: json.loads(path.read_text(encoding="utf-8")) for path in sorted(FIXTURES.glob("[gd]*/*.json"))}
    told = {f"{path.parent.name} {path.stem}": case.get("document", case) for path, case in read.items()}
    oil = {"label": "SAE 10W, 32 cSt at 40 °C", "viscosity_40_cst": 32, "viscosity_index": 140}
    rare = case({"oil_level_mm": 60}, {"oil_level_mm": 120}, **RARE)
    return told | {"rare parts": rare | {"fork": rare["fork"] | {"oil": oil}}, "nothing at all": {"schema": 1}}


@cache
def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(findings_schema())


@pytest.fixture(scope="module")
def found() -> Iterator[dict[str, Any]]:
    """What the engine says of each, with few draws: the form is the same with many."""
    few = pytest.MonkeyPatch()
    few.setattr(engine, "assess", lambda case, inputs, rng, *_, **__: posterior.assess(case, inputs, rng, 30))
    made = {}
    for name, document in documents().items():
        try:
            made[name] = analyse(parse_case(document), np.random.default_rng(7)).as_document()
        except CaseFaults:
            continue  # some golden cases are there to be refused
    made["judged by a tuner"] = analyse(parse_case(case()), np.random.default_rng(7), view="over-filled").as_document()
    few.undo()
    yield made


def test_the_findings_of_every_golden_and_demo_case_are_as_published(found: dict[str, Any]) -> None:
    jsonschema.Draft202012Validator.check_schema(findings_schema())
    assert len(found) > 70
    faults = [f"{name}, {fault.json_path}: {fault.message[:200]}" for name, document in found.items()
              for fault in validator().iter_errors(json.loads(json.dumps(document)))]
    assert faults == []


def groups(schema: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every group of the schema with its path."""
    if isinstance(schema, list):
        for part in schema:
            yield from groups(part, path)
    elif isinstance(schema, dict):
        if schema.get("type") == "object":
            yield path, schema
        for key, part in schema.items():
            for name, inner in part.items() if key == "properties" else [("", part)]:
                yield from groups(inner, f"{path}.{name}".strip(".") if name else path)


def test_a_pair_has_two_numbers() -> None:
    for pair in (band("Least and most."), band("Least and most.", null="not known.")):
        assert [jsonschema.Draft202012Validator(pair).is_valid([1.0] * count) for count in range(4)] == [
            False, False, True, False]


def test_no_group_takes_a_key_that_is_not_described() -> None:
    loose = {path for path, group in groups(findings_schema()) if group["additionalProperties"] is not False}
    assert loose == {"phrases", "phrases.slots"}  # their keys are sentences and names of slots


# Source: the meta-schemas of JSON Schema 2020-12.
def known_words() -> set[str]:
    base = "https://json-schema.org/draft/2020-12/meta/"
    parts = (jsonschema_specifications.REGISTRY.contents(base + name) for name in (
        "core", "applicator", "validation", "meta-data"))
    return {word for part in parts for word in part["properties"]}


def words_of(schema: Any) -> Iterator[str]:
    """Every word of a schema that says what is allowed, without the names of its groups' keys."""
    if isinstance(schema, list):
        for part in schema:
            yield from words_of(part)
    elif isinstance(schema, dict):
        yield from schema
        for word, part in schema.items():
            if word not in ("const", "enum"):
                yield from words_of([*part.values()] if word in ("properties", "$defs") else part)


@pytest.mark.parametrize("made", [findings_schema, case_schema])
def test_no_word_stands_in_a_schema_that_a_reader_of_schemas_would_pass_over(made: Callable[[], Document]) -> None:
    assert set(words_of(made())) - known_words() == set()


def test_every_part_has_its_meaning_and_every_number_its_unit() -> None:
    for path, group in groups(findings_schema()):
        for name, part in group.get("properties", {}).items():
            assert part.get("description"), f"{path}.{name}"
            unit = UNITS.get(name.rpartition("_")[2]) if "_" in name else None
            numeric = "number" in str(part.get("type", "")) or "number" in str(part.get("anyOf", ""))
            if unit and numeric and "properties" not in str(part):
                assert unit in part["description"], f"{path}.{name}: {part['description']}"


def seen(document: Any, path: str = "") -> Iterator[str]:
    if isinstance(document, list):
        for part in document:
            yield from seen(part, path)
    elif isinstance(document, dict):
        for name, part in document.items():
            yield f"{path}.{name}".strip(".")
            if name != "phrases":
                yield from seen(part, f"{path}.{name}".strip("."))


def test_no_part_is_described_that_no_case_has(found: dict[str, Any]) -> None:
    there = {path for document in found.values() for path in seen(document)}
    told = {f"{path}.{name}".strip(".") for path, group in groups(findings_schema()) if not path.startswith("phrases")
            for name in group.get("properties", {})}
    assert told - there == set()


@pytest.mark.parametrize("spoil", [
    lambda found: found.update(extra=1), lambda found: found["fork"]["left"].update(extra=1),
    lambda found: found["verdict"].pop("words"), lambda found: found["causes"][0].update(probability="high"),
    lambda found: found["fork"]["limited_by"].update(found="a wall"), lambda found: found["curves"][0].pop("air_n")])
def test_a_part_too_many_or_missing_or_of_another_kind_is_a_fault(spoil: Any, found: dict[str, Any]) -> None:
    document = json.loads(json.dumps(found["rare parts"]))
    assert validator().is_valid(document)
    spoil(document)
    assert not validator().is_valid(document)
