"""A shop's own server for tests: it speaks TLS under the name shop.example, keeps what it is told, and misbehaves.

Its certificate (``far_side.pem``) is made up, good for a hundred years and for nothing else.
"""
from __future__ import annotations

import socket
import ssl
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

PEM = Path(__file__).with_name("far_side.pem")
PUBLIC = "93.184.216.34"


class FarSide:
    """``answers`` is the status, ``headers`` go with it, ``drip`` lets the answer come one sign at a time.

    ``drip_body`` does so with what follows after its head.
    """

    def __init__(self) -> None:
        self.heard: list[tuple[str, dict[str, str], bytes]] = []
        self.answers, self.headers, self.drip, self.flood, self.drip_body = 200, {}, False, False, False
        self.port = 0
        self.lines: list[tuple[str, int]] = []
        """Every address that was connected to."""


def _handler(far: FarSide) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            far.heard.append((self.path, dict(self.headers), body))
            if far.drip:
                self._drip("HTTP/1.1 200 OK\r\nX: " + "y" * 1000)
                return
            self.send_response(far.answers)
            for name, value in far.headers.items():
                self.send_header(name, value)
            self.end_headers()
            while far.flood:
                self.wfile.write(b"x" * 65536)
            if far.drip_body:
                self._drip("z" * 200)

        def _drip(self, signs: str) -> None:
            try:
                for sign in signs:
                    self.wfile.write(sign.encode())
                    time.sleep(0.05)
            except OSError:
                pass

        def log_message(self, *args: Any) -> None:
            pass
    return Handler


@contextmanager
def far_side(monkeypatch: Any) -> Iterator[FarSide]:
    """Run it, let shop.example stand for a public address, and lead that address here."""
    from reports import far_post

    far = FarSide()
    server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(far))
    server.daemon_threads = True
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(PEM)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    far.port = server.server_address[1]

    def line(ip: str, port: int) -> socket.socket:
        far.lines.append((ip, port))
        return socket.create_connection(("127.0.0.1", far.port), 5)

    monkeypatch.setattr(far_post, "connected", line)
    monkeypatch.setattr(far_post, "tls", lambda: ssl.create_default_context(cafile=str(PEM)))
    monkeypatch.setattr(far_post, "resolved", lambda host, port: [PUBLIC])
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield far
    finally:
        far.flood = False
        server.shutdown()
        server.server_close()
