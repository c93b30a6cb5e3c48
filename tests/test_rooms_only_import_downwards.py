"""Rooms know each other in one direction only, also inside functions and under TYPE_CHECKING."""
import ast
from pathlib import Path

import pytest

BASE = Path(__file__).resolve().parent.parent
MAY_IMPORT = {
    "analysis": set(),
    "intake": {"analysis"},
    "reports": {"analysis", "intake"},
    "deploy": {"analysis", "intake", "reports"},
}
NOT_IN_THE_ENGINE = {"django", "rest_framework", "celery", "redis", "matplotlib", "typst", "PIL", "os", "pathlib",
                     "time", "datetime", "random", "subprocess", "socket", "requests", "tempfile", "io"}
FREE_OF_THE_CASE_FILE = {"run", "run_tests", "bootstrap", "parent", "processes", "ports", "ending", "data"}


def imports_of(source: str, package: str) -> set[str]:
    """Every module that some code imports, wherever in it the import stands; relative ones made whole."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            parts = package.split(".")[: len(package.split(".")) - node.level + 1] if node.level else []
            found.add(".".join([*parts, *([node.module] if node.module else [])]))
        elif isinstance(node, ast.Call) and _called(node.func) in ("import_module", "__import__") and node.args:
            first = node.args[0]
            found.add(str(first.value) if isinstance(first, ast.Constant) else f"{package.split('.')[0]}.?")
    return found


def _called(function: ast.expr) -> str:
    return function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")


def files_of(room: str) -> list[Path]:
    return sorted((BASE / room).rglob("*.py"))


def tops(path: Path) -> set[str]:
    package = ".".join(path.relative_to(BASE).parent.parts)
    return {name.split(".")[0] for name in imports_of(path.read_text(), package)}


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_a_room_imports_only_rooms_below_it(room):
    assert files_of(room), f"{room} is empty"
    rooms = set(MAY_IMPORT) | {"tests"}
    wrong = {str(path.relative_to(BASE)): bad for path in files_of(room)
             if (bad := (tops(path) & rooms) - MAY_IMPORT[room] - {room})}
    assert not wrong


def test_the_engine_knows_no_frame_no_files_no_clock_and_no_plotting():
    wrong = {path.name: bad for path in files_of("analysis") if (bad := tops(path) & NOT_IN_THE_ENGINE)}
    assert not wrong


def test_what_runs_before_anything_is_installed_imports_nothing_that_is_not_there_yet():
    import sys

    there = sys.stdlib_module_names | {"deploy"}
    for path in files_of("deploy"):
        if path.stem in FREE_OF_THE_CASE_FILE and path.parent.name == "deploy":
            assert tops(path) <= there, path.name
            inside = {name for name in imports_of(path.read_text(), "deploy") if name.startswith("deploy.")}
            assert {name.split(".")[1] for name in inside} <= FREE_OF_THE_CASE_FILE, path.name


@pytest.mark.parametrize("source, seen", [
    ("def f():\n    from reports import tasks", "reports"),
    ("if TYPE_CHECKING:\n    import deploy.settings", "deploy.settings"),
    ("from ..reports.models import Draft", "reports.models"),
    ("import importlib\nimportlib.import_module('reports.pdf')", "reports.pdf"),
])
def test_the_walk_sees_hidden_imports(source, seen):
    assert seen in imports_of(source, "intake.services" if ".." not in source else "intake")
