"""Keeping a few processes alive and ending them in order.  Standard library only."""
from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO

PATIENCE = 15.0
"""Seconds that one process may take to end by itself: a draft in work is finished in far less."""
TOO_OFTEN = 5
WITHIN = 60.0
"""A process that dies so often within so many seconds is not started again."""
PAUSE = 1.0


class KeepsDying(Exception):
    """A process cannot be kept alive."""


@dataclass
class Kept:
    """One process that is kept alive."""

    name: str
    command: list[str]
    log: Path
    process: subprocess.Popen[bytes] | None = None
    deaths: list[float] = field(default_factory=list)


class Keeper:
    """Starts processes, shows what they say, starts the dead again, and ends all in the reverse order."""

    def __init__(self, base: Path, logs: Path, say: Callable[[str, str], None]) -> None:
        self._base, self._logs, self._say = base, logs, say
        self._kept: list[Kept] = []
        logs.mkdir(parents=True, exist_ok=True)

    def start(self, name: str, *command: str) -> None:
        """Start ``python COMMAND`` under a name and keep it."""
        kept = Kept(name, [sys.executable, *command], self._logs / f"{name}.log")
        kept.log.write_bytes(b"")
        self._kept.append(kept)
        self._spawn(kept)

    def look_after(self) -> None:
        """Start whatever has died again; raise ``KeepsDying`` where that does not help."""
        for kept in self._kept:
            if kept.process is not None and kept.process.poll() is not None:
                self._again(kept)

    def stop(self) -> None:
        """End all, the last started first, each with time to finish what it is doing."""
        for kept in reversed(self._kept):
            if kept.process is not None:
                _end(kept.process)
        self._kept.clear()

    def _again(self, kept: Kept) -> None:
        code, now = kept.process.returncode if kept.process else 0, time.monotonic()
        kept.deaths = [*(at for at in kept.deaths if now - at < WITHIN), now]
        if len(kept.deaths) >= TOO_OFTEN:
            raise KeepsDying(f"The {kept.name} keeps dying (last with status {code}). "
                             f"What it said is in {kept.log}.")
        self._say("run", f"the {kept.name} died (status {code}) and is started again")
        time.sleep(PAUSE)
        self._spawn(kept)

    def _spawn(self, kept: Kept) -> None:
        # Its own session: Ctrl-C in the terminal reaches us alone, and we end the others in order.  Started by the
        # main thread only: a child tied to its parent is in truth tied to the thread that started it.
        kept.process = subprocess.Popen(
            [sys.executable, "-m", "deploy.parent", str(os.getpid()), *kept.command],
            cwd=self._base, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        assert kept.process.stdout is not None
        threading.Thread(target=self._listen, args=(kept, kept.process.stdout), daemon=True).start()

    def _listen(self, kept: Kept, lines: IO[bytes]) -> None:
        with open(kept.log, "ab") as log:
            for line in lines:
                log.write(line)
                log.flush()
                self._say(kept.name, line.decode(errors="replace").rstrip())


def _end(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    try:
        process.wait(PATIENCE)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
    # Children of a killed process stay in its session.
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(process.pid, signal.SIGKILL)
