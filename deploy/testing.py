"""All checks and tests, one after the other (``deploy/run_tests.py`` comes here)."""
from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from argparse import Namespace
from pathlib import Path

from deploy.run_tests import BASE, arguments

PIN = ("-m", "uv", "pip", "compile", "--quiet", "--universal", "--python-version", "3.11", "--generate-hashes",
       "--no-emit-index-url", "--no-header", "--no-annotate", "pyproject.toml")
QUICK = "not browser and not machine and not bench"
"""Marks of the tests that need nothing but a database."""
KEEP_DATA = ("tests/deploy", "tests/faults", "tests/intake", "tests/reports")
COVERAGE = ("--cov=analysis", "--cov-branch", "--cov-report=term-missing:skip-covered")
"""How many are enough stands in pyproject.toml."""
Step = tuple[str, tuple[str, ...]]


def main(argv: list[str]) -> int:
    """Run the steps that were asked for; the first that fails ends it with its status."""
    options = arguments().parse_args(argv)
    if (options.services or options.all) and not (os.environ.get("DATABASE_URL") and os.environ.get("REDIS_URL")):
        print("Set DATABASE_URL and REDIS_URL to the servers to test on (.ci/run starts some).", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory(prefix="farbench-tests-") as folder:
        environment = _environment(options, Path(folder))
        for title, command in _steps(options):
            status = _run(title, command, environment)
            if status:
                print(f"FAILED: {title}", file=sys.stderr)
                return status
    print("All green.")
    return 0


def _steps(options: Namespace) -> list[Step]:
    if options.pin:
        return _pin()
    steps = []
    if options.all or not (options.browser or options.services or options.bench or options.coverage):
        steps += _plain(options.workers)
    if options.services or options.all:
        steps.append(("what keeps data, on the servers", _pytest(QUICK, options.workers, *KEEP_DATA)))
    if options.coverage or options.all:
        steps.append(("branches of the engine", _pytest(QUICK, options.workers, "tests/analysis", *COVERAGE)))
    if options.browser or options.all:
        steps.append(("the journeys in the browser and the launcher's life", _pytest("browser or machine", 0)))
    if options.bench or options.all:
        steps.append(("the benchmarks", (*_pytest("bench", 0), "-s")))
    return steps


def _plain(workers: int) -> list[Step]:
    return [
        ("style (ruff)", ("-m", "ruff", "check", ".")),
        ("types of the engine (mypy)", ("-m", "mypy")),
        ("set-up (manage.py check)", ("manage.py", "check")),
        ("migrations are whole", ("manage.py", "makemigrations", "--check", "--dry-run")),
        ("the suite", _pytest(f"{QUICK} and not services", workers)),
    ]


def _pytest(marks: str, workers: int, *folders: str) -> tuple[str, ...]:
    spread = ("-n", str(workers)) if workers else ()
    speed = () if marks == "bench" else ("-p", "no:benchmark")
    return ("-m", "pytest", "-q", "-m", marks, "--durations=5", *speed, *spread, *folders)


def _pin() -> list[Step]:
    plain, test = "deploy/requirements.txt", "deploy/requirements-test.txt"
    return [
        ("pins", (*PIN, "--output-file", plain, "--upgrade")),
        # Constrained by the plain ones, so that both environments run the same versions.
        ("pins for the tests", (*PIN, "--extra", "test", "--constraint", plain, "--output-file", test, "--upgrade")),
    ]


def _environment(options: Namespace, folder: Path) -> dict[str, str]:
    """A data folder of their own for the tests; the servers count only where they were asked for."""
    kept = dict(os.environ)
    if not (options.services or options.all):
        for name in ("DATABASE_URL", "REDIS_URL"):
            kept.pop(name, None)
    return kept | {"FARBENCH_DATA": str(folder), "EMAIL_URL": "", "PYTHONDEVMODE": ""}


def _run(title: str, command: tuple[str, ...], environment: dict[str, str]) -> int:
    print(f"\n== {title}", flush=True)
    start = time.monotonic()
    status = subprocess.run([sys.executable, *command], cwd=BASE, env=environment).returncode
    print(f"   {time.monotonic() - start:.1f} s", flush=True)
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
