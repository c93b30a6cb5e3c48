#!/usr/bin/env python3
"""Run the tests: ``python3 deploy/run_tests.py``.

Like ``deploy/run.py`` it makes and fills ``.venv`` by itself, with the test tools beside the rest, and goes on inside
it (``deploy.testing``).  Nothing but the standard library may be imported here.
"""
import argparse
import sys
from pathlib import Path

BASE = Path(__file__).resolve().parent.parent
OLDEST = (3, 11)


def arguments() -> argparse.ArgumentParser:
    """Return the command's options."""
    parser = argparse.ArgumentParser(
        prog="python3 deploy/run_tests.py",
        description="Check the code and run its tests. Without options: all that needs no browser and no servers.",
    )
    parser.add_argument("--browser", action="store_true", help="the journeys in Chromium, and the launcher's life")
    parser.add_argument("--services", action="store_true",
                        help="all tests that keep data, on the servers that DATABASE_URL and REDIS_URL name")
    parser.add_argument("--bench", action="store_true", help="the benchmarks")
    parser.add_argument("--coverage", action="store_true",
                        help="the engine's tests alone, and how many of its branches they run")
    parser.add_argument("--all", action="store_true", help="all of these, after the plain ones")
    parser.add_argument("--pin", action="store_true",
                        help="instead: write deploy/requirements*.txt anew from pyproject.toml")
    parser.add_argument("--workers", type=int, default=2, help="how many tests at once (2)")
    return parser


def main() -> None:
    """Check the Python at hand, prepare the environment and go on inside it."""
    if sys.version_info < OLDEST:
        sys.exit(f"Farbench needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this is {sys.version.split()[0]}.")
    arguments().parse_args()
    sys.path[0] = str(BASE)  # not deploy/: its celery.py would stand before the library of that name
    from deploy.bootstrap import enter

    enter(BASE, "requirements-test.txt", "deploy.testing", sys.argv[1:])


if __name__ == "__main__":
    main()
