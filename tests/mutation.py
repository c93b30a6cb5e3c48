"""The mutation score of the engine: small faults put into it one at a time, and how many of them a test sees.

    .venv/bin/uv pip install --python .venv/bin/python mutmut
    .venv/bin/python -m pytest tests/analysis -p no:benchmark --cov=analysis --cov-branch --cov-context=test \\
        --cov-fail-under=0 --cov-report= --junitxml=.mutation.xml
    .venv/bin/python -m tests.mutation --sample 300 --seed 1

The second command notes which test runs which line and how long it takes.  The third draws faults from all that mutmut
can make and runs for each the tests that run its line, quickest first, in a process of its own.  What survives is
written out; it can be run again after a test was added, with ``--only`` for the file.
"""
from __future__ import annotations

import argparse
import ast
import difflib
import gc
import importlib
import json
import math
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import libcst as cst
import pytest
from coverage import CoverageData
from hypothesis import Phase, settings
from mutmut.mutation.file_mutation import Mutation, create_mutations

BASE = Path(__file__).resolve().parent.parent
QUIET = ("-x", "-q", "-p", "no:cacheprovider", "-p", "no:benchmark", "-p", "no:cov",
         "-p", "no:unraisableexception", "-W", "ignore", "--hypothesis-profile=faults")
NOT_RUN = 70
SENTENCES = ("say", "Refused", "Fault", "Trouble", "Finding")
"""Calls whose texts are sentences: their words are read by people, not compared."""


@dataclass(frozen=True)
class Mutant:
    """One fault: its file and function, the line, the lines before and after, and the whole file as it then reads."""

    name: str
    path: str
    function: str
    line: int
    before: str
    after: str
    text: str


def drawn(seed: int, only: str) -> Iterator[Mutant]:
    """Yield faults in random order, each as likely as any other."""
    modules = {path: create_mutations(str(path), path.read_text(encoding="utf-8"))[:2]
               for path in sorted(BASE.glob("analysis/**/*.py")) if only in path.stem}
    places = [(path, n) for path, (_, mutations) in modules.items() for n, one in enumerate(mutations)
              if one.contained_by_top_level_function is not None]
    print(f"{len(places)} faults can be made.", flush=True)
    random.Random(seed).shuffle(places)
    for path, number in places:
        module, mutations = modules[path]
        mutant = _made(path, module, mutations[number], number)
        if mutant is not None:
            yield mutant


def _made(path: Path, module: cst.Module, one: Mutation, number: int) -> Mutant | None:
    """Return the fault, or None where it would change nothing but words."""
    source = module.code
    text = module.deep_replace(one.original_node, one.mutated_node).code  # type: ignore[arg-type]
    line, before, after = _changed(source, text)
    if isinstance(one.original_node, cst.SimpleString) and _is_words(source, line, one.original_node.value):
        return None
    return Mutant(f"{path.stem}:{number}", str(path.relative_to(BASE)), _function_at(source, line), line, before, after,
                  text)


def _changed(old: str, new: str) -> tuple[int, str, str]:
    """Return the first line that changed, and what stands there before and after."""
    a, b = old.splitlines(), new.splitlines()
    _, start, until, first, last = next(op for op in difflib.SequenceMatcher(None, a, b, autojunk=False).get_opcodes()
                                        if op[0] != "equal")
    return start + 1, "\n".join(a[start:until]), "\n".join(b[first:last])


def _is_words(source: str, line: int, value: str) -> bool:
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)
             and getattr(node.func, "id", "") in SENTENCES]
    return " " in value or any(call.lineno <= line <= (call.end_lineno or 0) for call in calls)


def _function_at(source: str, line: int) -> str:
    """Return the dotted name of the outermost function around a line."""
    for node in ast.parse(source).body:
        inside = node.body if isinstance(node, ast.ClassDef) else [node]
        for one in inside:
            if isinstance(one, ast.FunctionDef) and one.lineno <= line <= (one.end_lineno or 0):
                return f"{node.name}.{one.name}" if isinstance(node, ast.ClassDef) else one.name
    return ""


class Runs:
    """Which tests run which line, and how long each takes."""

    def __init__(self, coverage: Path, junit: Path) -> None:
        self._data = CoverageData(str(coverage))
        self._data.read()
        self._seconds: dict[str, float] = defaultdict(float)
        for found in xml.parse(junit).iter("testcase"):
            path = (found.get("classname") or "").replace(".", "/") + ".py"
            self._seconds[f"{path}::{found.get('name')}"] = float(found.get("time") or 0)

    def tests_of(self, mutant: Mutant) -> list[tuple[float, str]]:
        """Return the tests that run the statement the fault is in, quickest first."""
        by_line = self._data.contexts_by_lineno(str(BASE / mutant.path))
        lines = _statement((BASE / mutant.path).read_text(encoding="utf-8"), mutant.line)
        names = {name.partition("|")[0] for line in lines for name in by_line.get(line, []) if name}
        return sorted((self._seconds[name], name) for name in names)


def _statement(source: str, line: int) -> range:
    """Return the lines of the smallest statement around a line, without the statements inside it."""
    best = range(line, line + 1)
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or 0):
            body = getattr(node, "body", None)
            last = body[0].lineno - 1 if isinstance(body, list) and body else node.end_lineno or node.lineno
            if line <= last or not isinstance(body, list):
                best = range(node.lineno, last + 1)
    return best


def put_in(mutant: Mutant) -> None:
    """Give the function in this process the code of its faulty twin; whoever holds the function has it too."""
    module = importlib.import_module(mutant.path.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
    real, twin = _plain(vars(module), mutant.function), {**vars(module)}
    made = _inside(real.__code__)
    text = _Holding({name: one.co_freevars for name, one in made.items()}).visit(ast.parse(mutant.text))
    exec(compile(ast.fix_missing_locations(text), module.__file__ or "", "exec"), twin)
    faulty = _plain(twin, mutant.function)
    faulty_made = _inside(faulty.__code__)
    real.__code__, real.__defaults__, real.__kwdefaults__ = faulty.__code__, faulty.__defaults__, faulty.__kwdefaults__
    if made:
        gc.unfreeze()  # what the function made while it was imported is faulty as well
        for one in gc.get_objects():
            if type(one) is FunctionType and made.get(one.__name__) == one.__code__ and one.__name__ in faulty_made:
                one.__code__ = faulty_made[one.__name__]
        gc.freeze()


class _Holding(ast.NodeTransformer):
    """Lets inner functions hold the names they held, also where the fault took the last use of one away.

    A function that is there already takes no code that holds fewer.
    """

    def __init__(self, held: dict[str, tuple[str, ...]]) -> None:
        self._held = held

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        """Name them where it is never run."""
        self.generic_visit(node)
        if names := self._held.get(node.name):
            node.body += ast.parse(f"if 0: {', '.join(names)}").body
        return node

    def visit_Lambda(self, node: ast.Lambda) -> ast.AST:
        """The same inside an expression."""
        self.generic_visit(node)
        if names := self._held.get("<lambda>"):
            named = ast.parse(f"({', '.join(names)},)", mode="eval").body
            node.body = ast.IfExp(ast.Constant(1), node.body, named)
        return node


def _inside(code: CodeType) -> dict[str, CodeType]:
    """Return the functions that a function makes."""
    return {one.co_name: one for one in code.co_consts if isinstance(one, CodeType)}


def _plain(names: dict[str, Any], dotted: str) -> FunctionType:
    owner, _, name = dotted.rpartition(".")
    found = vars(names[owner])[name] if owner else names[name]
    for inside in ("fget", "func", "__func__", "__wrapped__"):
        found = getattr(found, inside, found)
    assert isinstance(found, FunctionType), dotted
    return found


def survives(mutant: Mutant, tests: list[tuple[float, str]]) -> bool:
    """Run the tests on the faulty engine in a process of its own; False where one of them fails."""
    child = os.fork()
    if child == 0:
        limit = int(60 + 4 * sum(seconds for seconds, _ in tests))
        resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 1))  # an endless loop is a failure too
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        status = NOT_RUN
        try:
            put_in(mutant)
            status = int(pytest.main([*QUIET, *(name for _, name in tests)]))
        finally:
            os._exit(status)
    ended = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if ended not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED) and ended > 0:
        raise RuntimeError(f"{mutant.name} could not be tried: pytest ended with {ended}.")
    return ended == pytest.ExitCode.OK


def types_are_sound(folder: Path) -> bool:
    """True where mypy finds nothing in the engine that lies in ``folder``."""
    return subprocess.run([sys.executable, "-m", "mypy"], cwd=folder, stdout=subprocess.DEVNULL).returncode == 0


def mistyped(mutant: Mutant, folder: Path) -> bool:
    """True where mypy, which is run with the tests, sees the fault; ``folder`` holds a copy of the engine."""
    whole = (folder / mutant.path).read_text(encoding="utf-8")
    (folder / mutant.path).write_text(mutant.text, encoding="utf-8")
    sound = types_are_sound(folder)
    (folder / mutant.path).write_text(whole, encoding="utf-8")
    return not sound


def measured(mutant: Mutant, runs: Runs, seconds: float, folder: Path) -> str:
    """Return "killed", "survived" or "unreached"; of slow tests only as many as fit into ``seconds``."""
    tests, spent = [], 0.0
    for took, name in runs.tests_of(mutant):
        spent += took
        if tests and spent > seconds:
            break
        tests.append((took, name))
    if not tests:
        return "unreached"
    first, rest = tests[:40], tests[40:]
    unseen = survives(mutant, first) and (not rest or survives(mutant, rest))
    return "survived" if unseen and not mistyped(mutant, folder) else "killed"


def warm_up() -> None:
    """Import all tests once, for all the processes to come; which example fails need not be found out."""
    settings.register_profile("faults", deadline=None, max_examples=20, derandomize=True, phases=[Phase.generate])
    pytest.main([*QUIET, "--collect-only", "-q", "tests/analysis"])
    gc.freeze()  # or every process would look through all of it again


def interval(hits: int, count: int) -> tuple[float, float]:
    """Return Wilson's 95 % interval of a share."""
    z, p = 1.96, hits / count
    middle, half = p + z * z / (2 * count), z * math.sqrt(p * (1 - p) / count + z * z / (4 * count * count))
    return (middle - half) / (1 + z * z / count), (middle + half) / (1 + z * z / count)


def main() -> None:
    """Draw, run and count; every fault that survived is written out."""
    options = argparse.ArgumentParser(prog="python -m tests.mutation")
    options.add_argument("--sample", type=int, default=300)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--only", default="", help="files with this in their name")
    options.add_argument("--seconds", type=float, default=60.0, help="how long the tests of one fault may take")
    options.add_argument("--log", type=Path, default=BASE / ".mutation.jsonl")
    chosen = options.parse_args()
    runs = Runs(BASE / ".coverage", BASE / ".mutation.xml")
    warm_up()
    counted: Counter[str] = Counter()
    with chosen.log.open("w", encoding="utf-8") as log, tempfile.TemporaryDirectory() as folder:
        shutil.copytree(BASE / "analysis", Path(folder) / "analysis")
        shutil.copy(BASE / "pyproject.toml", folder)
        if not types_are_sound(Path(folder)):
            sys.exit("mypy has something to say of the engine as it is: mend that first, or every fault would count.")
        for mutant in drawn(chosen.seed, chosen.only):
            result = measured(mutant, runs, chosen.seconds, Path(folder))
            counted[result] += 1
            print(json.dumps({"result": result, **{k: v for k, v in asdict(mutant).items() if k != "text"}}), file=log,
                  flush=True)
            if result == "survived":
                print(f"survived: {mutant.path}:{mutant.line}\n  - {mutant.before.strip()}\n  + {mutant.after.strip()}",
                      flush=True)
            if counted["killed"] + counted["survived"] >= chosen.sample:
                break
    count = counted["killed"] + counted["survived"]
    low, high = interval(counted["killed"], count)
    print(f"{counted['killed']} of {count} faults were seen: {counted['killed'] / count:.1%}, {low:.1%} to {high:.1%}. "
          f"{counted['unreached']} more lie where only the import goes.")


if __name__ == "__main__":
    main()
