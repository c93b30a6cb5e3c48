#!/usr/bin/env python3
"""Start Farbench on this machine: ``python3 deploy/run.py``.

Any Python from 3.11 on can run this file: it makes ``.venv``, installs what is pinned, and goes on inside it
(``deploy.machine``).  Nothing but the standard library may be imported here.
"""
import argparse
import os
import sys
from pathlib import Path

BASE = Path(__file__).resolve().parent.parent
OLDEST = (3, 11)
FIRST_PORT = 8000


def arguments() -> argparse.ArgumentParser:
    """Return the command's options."""
    parser = argparse.ArgumentParser(
        prog="python3 deploy/run.py",
        description="Start Farbench on this machine: web pages, worker and broker together. Ctrl-C stops all of it.",
        epilog="Without a terminal it acts as with --once. See README.md for what else can be set.",
    )
    parser.add_argument("--once", action="store_true",
                        help="do the main job once with a demo case, say what was made, and end")
    parser.add_argument("--serve", action="store_true", help="keep running even without a terminal")
    parser.add_argument("--port", type=int, help=f"port of the pages (otherwise the first free one from {FIRST_PORT})")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (only this machine by default)")
    parser.add_argument("--data", type=Path, help="data folder (otherwise .farbench beside the code)")
    parser.add_argument("--no-demo", action="store_true", help="start without the demo cases")
    return parser


def main() -> None:
    """Check the Python at hand, prepare the environment and go on inside it."""
    if sys.version_info < OLDEST:
        sys.exit(f"Farbench needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this is {sys.version.split()[0]}. "
                 "Start it with a newer one, for example: python3.11 deploy/run.py")
    options = arguments().parse_args()
    if options.data:
        os.environ["FARBENCH_DATA"] = str(options.data.expanduser().resolve())
    sys.path[0] = str(BASE)  # not deploy/: its celery.py would stand before the library of that name
    from deploy.bootstrap import enter

    enter(BASE, "requirements.txt", "deploy.machine", sys.argv[1:])


if __name__ == "__main__":
    main()
