"""How a launcher ends: by a signal, or with whoever started it.  Standard library only."""
from __future__ import annotations

import contextlib
import fcntl
import os
import signal
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

from deploy import parent

ENDING = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
LOOK = 0.5


class Stopped(BaseException):
    """A signal, or the end of whoever started us: stop all and go.  Not an Exception, so that nobody swallows it."""


def listen() -> None:
    """From now on raise ``Stopped`` in the main thread when it is time to end."""
    started_by = os.getppid()

    def stop(*_: object) -> None:
        raise Stopped

    def stop_if_orphan(*_: object) -> None:
        if parent.is_orphan(started_by):
            raise Stopped

    for number in ENDING:
        signal.signal(number, stop)
    signal.signal(signal.SIGUSR1, stop_if_orphan)
    parent.signal_me_when_my_parent_dies(signal.SIGUSR1)
    threading.Thread(target=_watch, args=(started_by,), daemon=True).start()


def _watch(started_by: int) -> None:
    """Where the kernel sends no word of the parent's death, look for it."""
    while not parent.is_orphan(started_by):
        time.sleep(LOOK)
    os.kill(os.getpid(), signal.SIGUSR1)


def hold_back() -> None:
    """From now on ignore signals: a second Ctrl-C must not leave half of the processes behind."""
    for number in (*ENDING, signal.SIGUSR1):
        signal.signal(number, signal.SIG_IGN)


@contextlib.contextmanager
def alone(folder: Path) -> Iterator[None]:
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
        yield
