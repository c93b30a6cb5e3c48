"""A whole installation on a scratch folder, for journeys, benchmarks and pictures.  Standard library only."""
from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

BASE = Path(__file__).resolve().parent.parent
PATIENCE = 180.0
SERVERS = ("DATABASE_URL", "REDIS_URL", "SITE_URL", "ALLOWED_HOSTS", "EMAIL_URL", "SECRET_KEY")
"""Settings of the caller that would tie a trial to a real installation."""


class DidNotStart(Exception):
    """The trial installation did not come up; the message holds what it said."""


@dataclass(frozen=True)
class Trial:
    """A running installation: its address, its folder, its tuner's sign-in and its shop's token."""

    site: str
    folder: Path
    launcher: int
    """The launching process's id."""
    name: str
    password: str
    token: str


def start(folder: Path, *options: str, **settings: str) -> subprocess.Popen[bytes]:
    """Start an installation on ``folder``; what it says goes to the file ``said`` in there."""
    folder.mkdir(parents=True, exist_ok=True)
    kept = {name: value for name, value in os.environ.items() if name not in SERVERS}
    with open(folder / "said", "wb") as output:
        return subprocess.Popen([sys.executable, "-m", "deploy.machine", *options], cwd=BASE,
                                env=kept | settings | {"FARBENCH_DATA": str(folder)},
                                stdin=subprocess.DEVNULL, stdout=output, stderr=subprocess.STDOUT)


@contextmanager
def installation(folder: Path, *, demo: bool = False, **settings: str) -> Iterator[Trial]:
    """Run an installation on ``folder`` with extra settings, and end it at the end of the block."""
    launcher = start(folder, "--serve", "--port", str(free_port()), *([] if demo else ["--no-demo"]), **settings)
    try:
        yield _wait_for_the_doors(launcher, folder, folder / "said")
    finally:
        launcher.send_signal(signal.SIGINT)
        launcher.wait()


def _wait_for_the_doors(launcher: subprocess.Popen[bytes], folder: Path, said: Path) -> Trial:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and launcher.poll() is None:
        words = said.read_text()
        site = re.search(r"^  Rider +(http\S+?)/$", words, re.MULTILINE)
        sign_in = re.search(r"name (\S+), password (\S+)", words)
        token = re.search(r"token (\S+)   \(", words)
        if site and sign_in and token:
            return Trial(site[1], folder, launcher.pid, sign_in[1], sign_in[2], token[1])
        time.sleep(0.1)
    raise DidNotStart(said.read_text())


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
