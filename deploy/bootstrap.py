"""Make the environment that the code runs in.  Standard library only: nothing is installed yet."""
from __future__ import annotations

import contextlib
import fcntl
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

LEAKS = ("PYTHONHOME", "PYTHONPATH", "PIP_USER", "PIP_TARGET", "PIP_PREFIX", "__PYVENV_LAUNCHER__")
"""Variables of the caller's shell that would bend another environment out of shape."""


def enter(base: Path, requirements: str, module: str, argv: list[str]) -> NoReturn:
    """Prepare ``.venv`` for ``deploy/<requirements>`` and become ``module`` inside it, keeping this process's id."""
    started_by = os.getppid()
    try:
        python = prepare(base, requirements)
    except KeyboardInterrupt:
        sys.exit("Stopped. The next start goes on where this one ended.")
    if os.getppid() != started_by:  # whoever asked for it is gone
        sys.exit(1)
    os.chdir(base)
    os.execve(python, [str(python), "-m", module, *argv], clean_environment())


def clean_environment() -> dict[str, str]:
    """Return this process's environment without what would leak into the new one."""
    return {name: value for name, value in os.environ.items() if name not in LEAKS}


def prepare(base: Path, requirements: str) -> Path:
    """Return the environment's Python, made and filled first where that is needed."""
    folder, pins = base / ".venv", base / "deploy" / requirements
    python = folder / "bin" / "python"
    with _only_one(base / ".farbench"):
        if not _works(python):
            _make(folder)
        if not _up_to_date(folder, pins):
            _install(python, pins)
            _note(folder, pins)
    return python


@contextlib.contextmanager
def _only_one(folder: Path) -> Iterator[None]:
    """Two starts at once in one clone must not both fill the environment."""
    folder.mkdir(mode=0o700, exist_ok=True)
    with open(folder / "environment.lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _works(python: Path) -> bool:
    """Whether the environment is there and of this Python's version (a system upgrade can leave a dead one)."""
    if not python.exists():
        return False
    ask = [str(python), "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
    answer = subprocess.run(ask, capture_output=True, text=True, env=clean_environment())
    return answer.returncode == 0 and answer.stdout.strip() == f"{sys.version_info[0]}.{sys.version_info[1]}"


def _make(folder: Path) -> None:
    print(f"Making the environment in {folder.name} ...", flush=True)
    if folder.exists():
        shutil.rmtree(folder)
    if importlib.util.find_spec("venv") is None:
        sys.exit("This Python has no venv module. On Debian or Ubuntu: apt install python3-venv")
    # Debian ships ensurepip apart; without it the environment is made bare and filled by the pip outside.
    bare = [] if _can("ensurepip") else ["--without-pip"]
    _run([sys.executable, "-m", "venv", *bare, str(folder)], "The environment could not be made.")


def _can(module: str) -> bool:
    return importlib.util.find_spec(module) is not None


def _install(python: Path, pins: Path) -> None:
    count = sum(line[:1].isalnum() for line in pins.read_text().splitlines())
    print(f"Installing up to {count} pinned packages into .venv (only when they change) ...", flush=True)
    _run([*_pip(python), "install", "--quiet", "--disable-pip-version-check", "--no-input", "--no-deps", "--no-compile",
          "--require-hashes", "-r", str(pins)],
         "The packages could not be installed. Check the network and pip's settings (pip config list), then start "
         "again; what was loaded already is not loaded twice.")


def _pip(python: Path) -> list[str]:
    """Return the pip to use: the environment's own, or the one outside pointed at it."""
    own = subprocess.run([str(python), "-m", "pip", "--version"], capture_output=True, env=clean_environment())
    if own.returncode == 0:
        return [str(python), "-m", "pip"]
    if not _can("pip"):
        sys.exit("There is no pip to install with. On Debian or Ubuntu: apt install python3-venv python3-pip")
    return [sys.executable, "-m", "pip", "--python", str(python)]


def _run(command: list[str], otherwise: str) -> None:
    if subprocess.run(command, env=clean_environment()).returncode != 0:
        sys.exit(otherwise)


def _mark(folder: Path, pins: Path) -> Path:
    return folder / f"installed-{pins.stem}"


def _up_to_date(folder: Path, pins: Path) -> bool:
    mark = _mark(folder, pins)
    return mark.exists() and mark.read_text() == _print_of(pins)


def _note(folder: Path, pins: Path) -> None:
    _mark(folder, pins).write_text(_print_of(pins))
    plain = pins.with_name("requirements.txt")
    if plain != pins:  # the test pins hold the plain ones, by the way they are made
        _mark(folder, plain).write_text(_print_of(plain))


def _print_of(pins: Path) -> str:
    return hashlib.sha256(pins.read_bytes()).hexdigest()
