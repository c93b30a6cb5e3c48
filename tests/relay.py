"""A real mail relay for tests: it speaks SMTP on its own port, keeps what it took, and misbehaves when told to."""
from __future__ import annotations

import asyncio
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage

from aiosmtpd.controller import Controller


class Relay:
    """``refuse`` maps a step ("RCPT", "DATA") to the answer given instead of taking it."""

    def __init__(self) -> None:
        self.taken: list[EmailMessage] = []
        self.recipients: list[str] = []
        self.refuse: dict[str, str] = {}
        self.hang_up_after_data = False
        self.port = 0
        self.hold, self.has_everything = threading.Event(), threading.Event()
        """While ``hold`` is cleared, the relay has the mail whole but does not say so."""
        self.hold.set()

    async def handle_RCPT(self, server, session, envelope, address, options):
        if "RCPT" in self.refuse:
            return self.refuse["RCPT"]
        envelope.rcpt_tos.append(address)
        return "250 fine"

    async def handle_DATA(self, server, session, envelope):
        if "DATA" in self.refuse:
            return self.refuse["DATA"]
        self.taken.append(message_from_bytes(envelope.content, policy=policy.default))
        self.recipients += envelope.rcpt_tos
        self.has_everything.set()
        while not self.hold.is_set():
            await asyncio.sleep(0.01)
        if self.hang_up_after_data:
            server.transport.abort()
        return "250 taken"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running_relay() -> Iterator[Relay]:
    relay = Relay()
    relay.port = free_port()
    controller = Controller(relay, hostname="127.0.0.1", port=relay.port)
    controller.start()
    try:
        yield relay
    finally:
        controller.stop()
