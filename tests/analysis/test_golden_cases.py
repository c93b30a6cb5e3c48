"""Whole cases with their physics worked out by hand: what a good tuner would say of each, and how exactly.

The files lie in ``fixtures/golden``; its README tells how an expectation is written.
"""
from __future__ import annotations

import ast
import json
import math
import operator
import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from analysis import CaseFaults, analyse, parse_case

FOLDER = Path(__file__).parents[2] / "fixtures" / "golden"
FILES = sorted(FOLDER.glob("*.json"))
SEED = 20
PARTS = {"title", "story", "arithmetic", "document", "expect"}

Document = dict[str, Any]


def read(file: Path) -> Document:
    document: Document = json.loads(file.read_text(encoding="utf-8"))
    return document


# --- the expectations ------------------------------------------------------------------------------------------

def at(found: Any, path: str) -> Any:
    """What stands at a dotted path; a whole number picks from a list."""
    for key in path.split("."):
        found = found[int(key)] if isinstance(found, list) else found[key]
    return found


def says(found: Any) -> str:
    """Everything that is written below a place, in one line."""
    if isinstance(found, Mapping):
        return " ".join(says(part) for part in found.values())
    return " ".join(says(part) for part in found) if isinstance(found, list) else str(found)


def near(found: Any, wanted: Any) -> bool:
    """True where a number lies within the file's tolerance, ends included."""
    middle, tolerance = wanted
    return found is not None and abs(found - middle) <= tolerance + 1e-9


RELATIONS: dict[str, Callable[[Any, Any], bool]] = {
    "least": lambda found, wanted: found is not None and found >= wanted,
    "most": lambda found, wanted: found is not None and found <= wanted,
    "one of": lambda found, wanted: found in wanted,
    "not": lambda found, wanted: found != wanted,
    "count": lambda found, wanted: len(found) == wanted,
    "says": lambda found, wanted: all(words in says(found) for words in wanted),
    "never says": lambda found, wanted: not any(words in says(found) for words in wanted),
}


def fits(found: Any, wanted: Any) -> bool:
    """True where what was found is as expected: [number, tolerance], a relation, or the very same."""
    if isinstance(wanted, Mapping):
        return all(RELATIONS[name](found, value) for name, value in wanted.items())
    if isinstance(wanted, list) and len(wanted) == 2 and all(isinstance(part, int | float) for part in wanted):
        return near(found, wanted)
    return bool(found == wanted)


def odds(found: Document) -> dict[str, float]:
    return {cause["name"]: cause["probability"] for cause in found["causes"]}


def _at_least(found: Document, wanted: Mapping[str, float]) -> str:
    return "; ".join(f"{name} {odds(found)[name]}" for name, p in wanted.items() if odds(found)[name] < p)


def _at_most(found: Document, wanted: Mapping[str, float]) -> str:
    return "; ".join(f"{name} {odds(found)[name]}" for name, p in wanted.items() if odds(found)[name] > p)


def _leads(found: Document, wanted: list[str]) -> str:
    first = found["causes"][0]
    return "" if first["name"] in wanted else f"{first['name']} {first['probability']} leads"


def _stopped(found: Document, wanted: list[str]) -> str:
    """Every reason is there, and nothing is advised for the end that is stopped."""
    names = [reason["name"] for reason in found["stop_reasons"]]
    ends = {reason["end"] for reason in found["stop_reasons"]}
    if names != wanted or found["stop_riding"] is not True or found["verdict"]["kind"] != "stop":
        return f"{names}, {found['verdict']['kind']}"
    if found["next_test"] is not None or (ends & {"front", "both"} and (found["advice"] or found["service"])):
        return "something is still advised"
    return "the rear is still set" if ends & {"rear", "both"} and says_of_rear(found) else ""


def says_of_rear(found: Document) -> bool:
    return bool(found["shock"] and (found["shock"]["preload"] or found["shock"]["springs"]))


def _disagree(found: Document, wanted: list[list[str]]) -> str:
    pairs = [set(d["between"]) for d in found["disagreements"]]
    return "" if all(set(pair) in pairs for pair in wanted) else f"{pairs}"


def _paths(name: str) -> Callable[[Document, list[str]], str]:
    def lacking(found: Document, wanted: list[str]) -> str:
        there = {entry["path"] for entry in found[name]}
        return ", ".join(path for path in wanted if path not in there)
    return lacking


WHOLE: dict[str, Callable[[Document, Any], str]] = {
    "cause_at_least": _at_least, "cause_at_most": _at_most, "leads": _leads, "stopped": _stopped,
    "disagree": _disagree, "asks_back": _paths("doubts"), "assumes": _paths("assumed"),
}
"""Expectations of the findings as a whole: each returns what is amiss, or nothing."""


def amiss(found: Document, expect: Mapping[str, Any]) -> list[str]:
    """Every expectation that is not met, with what was found instead."""
    wrong = []
    for name, wanted in expect.items():
        if name in WHOLE:
            wrong += [f"{name}: {what}" for what in [WHOLE[name](found, wanted)] if what]
        elif not fits(at(found, name), wanted):
            wrong.append(f"{name}: wanted {wanted}, found {str(at(found, name))[:200]}")
    return wrong


def refusals(document: Any) -> dict[str, str]:
    """Every fault of a document by its path, in words."""
    with pytest.raises(CaseFaults) as refused:
        parse_case(document)
    return {fault.path: f"{fault.problem}. {fault.mend}" for fault in refused.value.faults}


# --- the arithmetic --------------------------------------------------------------------------------------------

SUM = re.compile(r"^(?P<words>.+): (?P<sum>[^:=]+) = (?P<result>-?\d+(?:\.(?P<digits>\d+))?)(?: \S+)?$")
TWO: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
    ast.Pow: operator.pow}
NAMES: dict[str, Callable[[float], float]] = {
    "sin": lambda a: math.sin(math.radians(a)), "cos": lambda a: math.cos(math.radians(a)),
    "tan": lambda a: math.tan(math.radians(a)), "atan": lambda v: math.degrees(math.atan(v)),
    "sqrt": math.sqrt, "exp": math.exp, "log": math.log}


def worked_out(node: ast.AST) -> float:
    """The value of a sum of plain numbers; anything else is no sum."""
    match node:
        case ast.Expression(body=body):
            return worked_out(body)
        case ast.Constant(value=int() | float() as number):
            return float(number)
        case ast.Name(id="pi"):
            return math.pi
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -worked_out(operand)
        case ast.BinOp(left=left, op=op, right=right):
            return TWO[type(op)](worked_out(left), worked_out(right))
        case ast.Call(func=ast.Name(id=name), args=[argument]):
            return NAMES[name](worked_out(argument))
    raise ValueError(f"{ast.dump(node)} is no arithmetic")


# --- the tests -------------------------------------------------------------------------------------------------

def test_there_are_sixty_cases_and_enough_of_the_hard_ones() -> None:
    cases = [read(file) for file in FILES]
    assert len(cases) >= 60
    assert all(set(case) == PARTS and case["arithmetic"] and case["expect"] for case in cases)
    open_ones = [case for case in cases if case["expect"].get("verdict.kind") == "cannot tell yet"]
    barred = [case for case in cases if "refused" in case["expect"] or "stopped" in case["expect"]]
    assert len(open_ones) >= 10 and len(barred) >= 10


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_the_arithmetic_in_a_file_adds_up(file: Path) -> None:
    for line in read(file)["arithmetic"]:
        assert "=" not in line or SUM.match(line), f"not to be read as a sum: {line}"
        if found := SUM.match(line):
            step = 10.0 ** -len(found["digits"] or "")
            result = worked_out(ast.parse(found["sum"].strip(), mode="eval"))
            assert result == pytest.approx(float(found["result"]), abs=0.51 * step), line


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_case_is_judged_as_a_good_tuner_would(file: Path) -> None:
    case = read(file)
    if "refused" in case["expect"]:
        found = refusals(case["document"])
        assert set(found) == set(case["expect"]["refused"])
        for path, words in case["expect"].get("refused_says", {}).items():
            assert words in found[path]
        return
    found = analyse(parse_case(case["document"]), np.random.default_rng(SEED)).as_document()
    assert amiss(found, case["expect"]) == []
