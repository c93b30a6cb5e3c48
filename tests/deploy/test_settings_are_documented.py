"""A setting that DEVELOPERS.md does not explain does not exist; nor does one that only the page knows."""
import ast
import re
from pathlib import Path

BASE = Path(__file__).resolve().parents[2]
TAKEN_BY_THE_FRAME = {"DJANGO_SETTINGS_MODULE"}


def read_from_the_environment() -> set[str]:
    tree = ast.parse((BASE / "deploy" / "settings.py").read_text())
    return {
        node.args[0].value for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
        and isinstance(node.func.value, ast.Name) and node.func.value.id == "env"
    }


def documented() -> set[str]:
    text = (BASE / "DEVELOPERS.md").read_text()
    table = text[text.index("## Settings"):]
    return set(re.findall(r"^\| `([A-Z_]+)`", table, re.MULTILINE))


def test_the_page_and_the_settings_name_the_same_variables():
    assert read_from_the_environment() == documented()


def test_no_other_file_reads_the_environment_on_its_own():
    files = [path for room in ("analysis", "intake", "reports") for path in (BASE / room).rglob("*.py")]
    assert not [str(path) for path in files if re.search(r"os\.environ|getenv", path.read_text())]
