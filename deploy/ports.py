"""Finding a free port, and saying what holds a taken one.  Standard library only."""
from __future__ import annotations

import contextlib
import socket
from pathlib import Path

TRIES = 50
LISTENING = "0A"  # the state's number in /proc/net/tcp


class PortTaken(Exception):
    """The port that was asked for belongs to somebody else."""


def is_free(host: str, port: int) -> bool:
    """Whether a server could listen there now."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


def settle(host: str, wanted: int | None, first: int) -> tuple[int, str]:
    """Return the port to use, and a word to say about it ("" where there is nothing to say).

    A port that was asked for by name and is taken is an error; otherwise the next free one is used.
    """
    if wanted is not None:
        if not 1 <= wanted <= 65535:
            raise PortTaken(f"There is no port {wanted}. Give one from 1024 to 65535.")
        if not is_free(host, wanted):
            raise PortTaken(f"Port {wanted} is taken by {holder(wanted)}. End that, or give another --port.")
        return wanted, ""
    for port in range(first, first + TRIES):
        if is_free(host, port):
            moved = "" if port == first else f"Port {first} is taken by {holder(first)}, so the pages are at {port}."
            return port, moved
    raise PortTaken(f"No port from {first} to {first + TRIES - 1} is free. Give one with --port.")


def holder(port: int) -> str:
    """Name the program that listens on a port, as far as this user may see it."""
    inodes = _listening(port)
    for folder in Path("/proc").glob("[0-9]*/fd"):
        with contextlib.suppress(OSError):
            if any(_inode(entry) in inodes for entry in folder.iterdir()):
                return _name(folder.parent)
    return "another program (which one cannot be seen from here)"


def _listening(port: int) -> set[str]:
    found = set()
    for table in ("/proc/net/tcp", "/proc/net/tcp6"):
        with contextlib.suppress(OSError):
            rows = [line.split() for line in Path(table).read_text().splitlines()[1:]]
            found |= {row[9] for row in rows if row[3] == LISTENING and int(row[1].rsplit(":", 1)[1], 16) == port}
    return found


def _inode(entry: Path) -> str:
    with contextlib.suppress(OSError):
        return str(entry.readlink()).removeprefix("socket:[").removesuffix("]")
    return ""


def _name(process: Path) -> str:
    command = (process / "cmdline").read_bytes().replace(b"\0", b" ").decode(errors="replace")
    return f"process {process.name} ({' '.join(command.split())[:80]})"
