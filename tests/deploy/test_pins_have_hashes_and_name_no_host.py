"""What is installed is pinned, hashed, and comes from wherever the machine's own pip looks."""
import re
from pathlib import Path

import pytest

DEPLOY = Path(__file__).resolve().parents[2] / "deploy"
FILES = ("requirements.txt", "requirements-test.txt")
PIN = re.compile(r"^([a-z0-9-]+)==(\S+)")


def entries(name: str) -> list[str]:
    text = (DEPLOY / name).read_text().replace("\\\n", " ")
    return [line for line in text.splitlines() if line.strip() and not line.startswith("#")]


@pytest.mark.parametrize("name", FILES)
def test_every_line_is_one_pinned_package_with_its_hashes(name):
    assert len(entries(name)) > 30
    bad = [line[:60] for line in entries(name) if not PIN.match(line) or "--hash=sha256:" not in line]
    assert not bad


@pytest.mark.parametrize("name", FILES)
def test_no_host_is_named(name):
    text = (DEPLOY / name).read_text()
    assert not re.search(r"https?:|--(extra-)?index-url|--find-links|--trusted-host|^-i ", text, re.MULTILINE)


def test_the_tests_run_on_the_versions_that_are_delivered():
    plain, test = ({PIN.match(line)[0] for line in entries(name)} for name in FILES)
    assert plain <= test


def test_all_that_the_project_asks_for_is_pinned():
    import tomllib

    project = tomllib.loads((DEPLOY.parent / "pyproject.toml").read_text())["project"]
    pinned = {PIN.match(line)[1] for line in entries("requirements-test.txt")}
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.match(r"[A-Za-z0-9-]+", line)[0].lower() for line in wanted}
    assert names <= pinned
