"""The first start makes the environment; later ones leave it alone until the pins change or it has died."""
import sys
from pathlib import Path

import pytest

from deploy import bootstrap


@pytest.fixture
def base(tmp_path):
    (tmp_path / "deploy").mkdir()
    for name in ("requirements.txt", "requirements-test.txt"):
        (tmp_path / "deploy" / name).write_text("sqlparse==0.6.1 --hash=sha256:0\n")
    return tmp_path


@pytest.fixture
def commands(monkeypatch):
    """What would be run: environments are really made (bare, which is quick), packages are not really fetched."""
    seen, real = [], bootstrap._run

    def run(command, otherwise):
        seen.append(command)
        if "venv" in command:
            real([*command[:3], "--without-pip", command[-1]], otherwise)

    monkeypatch.setattr(bootstrap, "_run", run)
    return seen


def made(commands):
    return sum("venv" in command for command in commands)


def installed(commands):
    return [Path(command[-1]).name for command in commands if "install" in command]


def test_the_first_start_makes_and_fills_it_and_the_second_does_neither(base, commands):
    python = bootstrap.prepare(base, "requirements.txt")
    assert python == base / ".venv" / "bin" / "python" and python.exists()
    assert (made(commands), installed(commands)) == (1, ["requirements.txt"])
    bootstrap.prepare(base, "requirements.txt")
    assert len(commands) == 2


def test_only_what_is_pinned_by_its_hash_is_installed(base, commands):
    bootstrap.prepare(base, "requirements.txt")
    assert {"--require-hashes", "--no-deps", "--no-input"} <= set(commands[-1])


def test_changed_pins_are_installed_anew(base, commands):
    bootstrap.prepare(base, "requirements.txt")
    (base / "deploy" / "requirements.txt").write_text("sqlparse==0.6.2 --hash=sha256:1\n")
    bootstrap.prepare(base, "requirements.txt")
    assert (made(commands), installed(commands)) == (1, ["requirements.txt"] * 2)


def test_the_test_pins_hold_the_plain_ones(base, commands):
    bootstrap.prepare(base, "requirements-test.txt")
    bootstrap.prepare(base, "requirements.txt")
    assert installed(commands) == ["requirements-test.txt"]


def test_an_installation_that_failed_is_tried_again(base, commands, monkeypatch):
    def fail(python, pins):
        raise SystemExit("no network")

    with monkeypatch.context() as patch, pytest.raises(SystemExit):
        patch.setattr(bootstrap, "_install", fail)
        bootstrap.prepare(base, "requirements.txt")
    bootstrap.prepare(base, "requirements.txt")
    assert installed(commands) == ["requirements.txt"]


def test_a_dead_environment_is_made_anew(base, commands):
    python = bootstrap.prepare(base, "requirements.txt")
    python.unlink()
    python.symlink_to(base / "gone")
    bootstrap.prepare(base, "requirements.txt")
    assert (made(commands), installed(commands)) == (2, ["requirements.txt"] * 2)


def test_without_the_part_that_brings_pip_the_pip_outside_is_used(base, commands, monkeypatch):
    there = bootstrap._can
    monkeypatch.setattr(bootstrap, "_can", lambda module: module != "ensurepip" and there(module))
    bootstrap.prepare(base, "requirements.txt")
    assert "--without-pip" in commands[0]
    assert commands[1][:4] == [sys.executable, "-m", "pip", "--python"]


def test_without_any_pip_it_says_what_to_install(base, commands, monkeypatch):
    monkeypatch.setattr(bootstrap, "_can", lambda module: False)
    with pytest.raises(SystemExit, match="apt install python3-venv python3-pip"):
        bootstrap.prepare(base, "requirements.txt")


def test_what_would_bend_the_environment_is_left_behind(monkeypatch):
    for name in bootstrap.LEAKS:
        monkeypatch.setenv(name, "x")
    monkeypatch.setenv("DATABASE_URL", "kept")
    assert bootstrap.clean_environment()["DATABASE_URL"] == "kept"
    assert not set(bootstrap.LEAKS) & set(bootstrap.clean_environment())
