"""Farbench on one machine: broker, worker, pages and the clock together (``deploy/run.py`` comes here)."""
from __future__ import annotations

import contextlib
import http.client
import io
import os
import sys
import threading
import time
from argparse import Namespace
from pathlib import Path

from deploy import ending, ports
from deploy.data import data_folder
from deploy.processes import Keeper, KeepsDying
from deploy.run import BASE, FIRST_PORT, arguments

UP_WITHIN = 60.0
"""Seconds until pages and worker must answer."""
LOOK = 0.5


class NotUp(Exception):
    """Pages or worker did not come up."""


def main(argv: list[str]) -> int:
    """Start all, say where the doors are, and keep it running until told to stop."""
    options = arguments().parse_args(argv)
    once = options.once or not (options.serve or sys.stdin.isatty() and sys.stdout.isatty())
    ending.listen()
    folder = data_folder(BASE, os.environ.get("FARBENCH_DATA", ""))
    if once:
        folder = _apart(folder)
    try:
        with ending.alone(folder):
            return _run(options, folder, once)
    except ending.Stopped:
        return 0
    except (ports.PortTaken, KeepsDying, NotUp) as problem:
        print(f"Farbench cannot run: {problem}", file=sys.stderr)
        return 1


def _apart(folder: Path) -> Path:
    """The one-off run has its own folder, beside a running installation, and never mails anybody."""
    os.environ["EMAIL_URL"] = ""
    os.environ["QUEUE"] = "farbench-once"  # on a shared broker, no other installation may take its work
    os.environ["FARBENCH_DATA"] = str(folder / "once")
    return data_folder(BASE, os.environ["FARBENCH_DATA"])


def _run(options: Namespace, folder: Path, once: bool) -> int:
    port, moved = ports.settle(options.host, options.port, FIRST_PORT)
    if moved:
        print(moved, flush=True)
    site = f"http://{'localhost' if options.host in ('127.0.0.1', '0.0.0.0', '::') else options.host}:{port}"
    os.environ.setdefault("SITE_URL", site)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "deploy.settings")
    _prepare()
    keeper = Keeper(BASE, folder / "logs", _quiet if once else _say)
    try:
        _start(keeper, options.host, port, folder)
        _wait_until_up(keeper, options.host, port)
        return _once(site, folder) if once else _serve(keeper, options, site)
    finally:
        ending.hold_back()
        if not once:
            print("Stopping ...", flush=True)
        keeper.stop()


def _prepare() -> None:
    """Bring the database up to date and let the system checks speak before anything starts."""
    import django
    from django.core.management import CommandError, call_command
    from django.db import DatabaseError, connection

    django.setup()
    try:
        call_command("migrate", verbosity=0, interactive=False)
        call_command("check", databases=["default"], stdout=io.StringIO())
    except DatabaseError as problem:
        raise NotUp(f"The database does not answer: {problem}") from problem
    except CommandError as problem:
        raise NotUp(str(problem)) from problem
    finally:
        connection.close()


def _start(keeper: Keeper, host: str, port: int, folder: Path) -> None:
    # Celery warns at length about root; in a container there is nobody else, and tasks carry ids only.
    hush = "ignore:You're running the worker with superuser"
    celery = ("-W", hush, "-m", "celery", "-A", "deploy.celery", "--quiet", "--skip-checks")
    if not os.environ.get("REDIS_URL"):
        keeper.start("broker", "-m", "deploy.broker", str(folder))
    keeper.start("worker", *celery, "worker", "--loglevel", "WARNING", "--concurrency", str(_hands()),
                 "--without-gossip", "--without-mingle")
    address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    # Threads, since no proxy stands in front here: a phone that uploads slowly must not hold up the others.
    keeper.start("web", "-m", "gunicorn", "deploy.wsgi", "--bind", address, "--workers", str(_hands()),
                 "--threads", "8", "--timeout", "60", "--log-level", "warning", "--preload")


def _hands() -> int:
    """How many workers of a kind: as many as processors, within reason."""
    return max(1, min(4, len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1))


def _wait_until_up(keeper: Keeper, host: str, port: int) -> None:
    end = time.monotonic() + UP_WITHIN
    while not (_pages_answer(host, port) and _worker_answers()):
        if time.monotonic() > end:
            raise NotUp("pages and worker did not come up in time; see the logs in the data folder")
        keeper.look_after()
        time.sleep(LOOK / 5)


def _pages_answer(host: str, port: int) -> bool:
    near = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)
    connection = http.client.HTTPConnection(near, port, timeout=5)
    try:
        connection.request("GET", "/health/", headers={"Host": "localhost"})
        return connection.getresponse().status == 200
    except OSError:
        return False
    finally:
        connection.close()


def _worker_answers() -> bool:
    from kombu.exceptions import OperationalError

    from deploy.celery import app

    try:
        return bool(app.control.broadcast("ping", reply=True, timeout=0.5, limit=1))
    except (OperationalError, OSError):
        return False


def _serve(keeper: Keeper, options: Namespace, site: str) -> int:
    from deploy import demo, demo_closed, doors

    if not options.no_demo and (cases := demo.load()):
        print(f"Handing in {len(cases)} demo cases ...", flush=True)
        took, left = demo.wait_until_drafted(cases)
        print(f"The worker drafted {len(cases) - left} of them in {took:.1f} s.", flush=True)
    said = doors.words(site)  # the first tuner is made here, and closes what is closed
    if not options.no_demo:
        demo_closed.close_finished()
    print(said, flush=True)
    next_sweep = 0.0
    while True:
        keeper.look_after()
        if time.monotonic() >= next_sweep:
            next_sweep = time.monotonic() + _call_the_sweep()
        time.sleep(LOOK)


def _call_the_sweep() -> float:
    """Be the clock, which costs no process of its own here; return the seconds until the next time."""
    from django.conf import settings
    from kombu.exceptions import OperationalError

    from deploy.celery import app

    sweep = settings.CELERY_BEAT_SCHEDULE["sweep"]
    with contextlib.suppress(OperationalError):  # a broker that is away is started again, and the next sweep finds all
        app.send_task(sweep["task"], retry=False, **sweep["options"])
    return float(sweep["schedule"])


def _once(site: str, folder: Path) -> int:
    from deploy import once

    return once.main_job(site, folder / "made")


_mouth = threading.Lock()


def _say(name: str, line: str) -> None:
    with _mouth:
        print(f"{name:>6} | {line}", flush=True)


def _quiet(name: str, line: str) -> None:
    """The one-off run keeps what its processes say in their log files."""


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
