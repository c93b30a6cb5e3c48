"""Farbench on one machine: broker, worker, clock and pages together (``deploy/run.py`` comes here)."""
from __future__ import annotations

import contextlib
import fcntl
import http.client
import os
import signal
import sys
import threading
import time
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from deploy import parent, ports
from deploy.data import data_folder
from deploy.processes import KeepsDying, Keeper
from deploy.run import BASE, FIRST_PORT, arguments

UP_WITHIN = 60.0
"""Seconds until pages and worker must answer."""
LOOK = 0.5


class Stopped(BaseException):
    """A signal, or the end of whoever started us: stop all and go.  Not an Exception, so that nobody swallows it."""


class NotUp(Exception):
    """Pages or worker did not come up."""


def main(argv: list[str]) -> int:
    """Start all, say where the doors are, and keep it running until told to stop."""
    options = arguments().parse_args(argv)
    once = options.once or not (options.serve or sys.stdin.isatty() and sys.stdout.isatty())
    _listen_for_the_end()
    folder = data_folder(BASE, os.environ.get("FARBENCH_DATA", ""))
    if once:
        folder = _apart(folder)
    try:
        with _alone(folder):
            return _run(options, folder, once)
    except Stopped:
        return 0
    except (ports.PortTaken, KeepsDying, NotUp) as problem:
        print(f"Farbench cannot run: {problem}", file=sys.stderr)
        return 1


def _apart(folder: Path) -> Path:
    """The one-off run has its own folder, beside a running installation, and never mails anybody."""
    os.environ["EMAIL_URL"] = ""
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
        _hold_back_signals()
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
        call_command("check", databases=["default"])
    except DatabaseError as problem:
        raise NotUp(f"The database does not answer: {problem}") from problem
    except CommandError as problem:
        raise NotUp(str(problem)) from problem
    finally:
        connection.close()


def _start(keeper: Keeper, host: str, port: int, folder: Path) -> None:
    celery = ("-m", "celery", "-A", "deploy.celery", "--quiet", "--skip-checks")
    if not os.environ.get("REDIS_URL"):
        keeper.start("broker", "-m", "deploy.broker", str(folder))
    keeper.start("worker", *celery, "worker", "--loglevel", "WARNING", "--concurrency", str(_hands()),
                 "--without-gossip", "--without-mingle")
    keeper.start("clock", *celery, "beat", "--loglevel", "WARNING", "--pidfile=")
    address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    keeper.start("web", "-m", "gunicorn", "deploy.wsgi", "--bind", address, "--workers", str(_hands()),
                 "--timeout", "60", "--log-level", "warning", "--worker-tmp-dir", str(folder))


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
    from deploy import demo, doors

    if not options.no_demo:
        _show_demo(demo.load(), demo)
    print(doors.words(site), flush=True)
    while True:
        keeper.look_after()
        time.sleep(LOOK)


def _show_demo(cases, demo) -> None:  # type: ignore[no-untyped-def]
    if cases:
        print(f"Handing in {len(cases)} demo cases ...", flush=True)
        took, left = demo.wait_until_drafted(cases)
        print(f"The worker drafted {len(cases) - left} of them in {took:.1f} s.", flush=True)


def _once(site: str, folder: Path) -> int:
    from deploy import once

    return once.main_job(site, folder / "made")


# -- Words, signals and the lock -----------------------------------------------------------------------------------
_mouth = threading.Lock()


def _say(name: str, line: str) -> None:
    with _mouth:
        print(f"{name:>6} | {line}", flush=True)


def _quiet(name: str, line: str) -> None:
    """The one-off run keeps what its processes say in their log files."""


def _listen_for_the_end() -> None:
    started_by = os.getppid()

    def stop(*_: object) -> None:
        raise Stopped

    def maybe_stop(*_: object) -> None:
        if parent.is_orphan(started_by):
            raise Stopped

    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, stop)
    signal.signal(signal.SIGUSR1, maybe_stop)
    parent.signal_me_when_my_parent_dies(signal.SIGUSR1)
    threading.Thread(target=_watch, args=(started_by,), daemon=True).start()


def _watch(started_by: int) -> None:
    """Where the kernel sends no word of the parent's death, look for it."""
    while not parent.is_orphan(started_by):
        time.sleep(LOOK)
    os.kill(os.getpid(), signal.SIGUSR1)


def _hold_back_signals() -> None:
    """A second Ctrl-C must not leave half of the processes behind."""
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGUSR1):
        signal.signal(number, signal.SIG_IGN)


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[IO[str]]:
    """Hold the data folder: two launchers on one would share a broker and a database by accident."""
    with open(folder / "in-use", "a+") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            lock.seek(0)
            sys.exit(f"Farbench already runs from {folder} ({lock.read().strip() or 'another process'}). "
                     "Use that, stop it first, or give another --data folder.")
        lock.truncate(0)
        lock.write(f"process {os.getpid()}")
        lock.flush()
        yield lock


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
