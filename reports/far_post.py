"""Posting to an address that somebody else chose: never into a private network, never further than it, never for long.

The name is looked up once, every address it stands for must be a public one, and the connection goes to the address
that was looked at.  A name that means something else a moment later leads nowhere new, and no answer sends us on.
"""
from __future__ import annotations

import http.client
import ipaddress
import socket
import ssl
import threading
from contextlib import suppress
from urllib.parse import urlsplit

from intake.errors import Refused
from intake.paths import storable
from reports.mail import FAILED, LATER, SENT, Outcome

SECONDS = 5
"""For each step: connecting, and each piece of the answer's head."""
LONGEST = 15
"""Seconds for all of it; then the line is cut, however slowly something still drips in."""
LONGEST_ADDRESS = 300
GONE = 410
INSIDE = tuple(ipaddress.ip_network(network) for network in ("168.63.129.16/32", "fec0::/10", "::/96"))
"""Not listed as private, and yet answered inside a data centre or a house."""
NAT64 = ipaddress.ip_network("64:ff9b::/96")
WRITE = "Write an https address that is reached from everywhere, such as https://shop.example/farbench."
Address = ipaddress.IPv4Address | ipaddress.IPv6Address


class NotPublic(Exception):
    """The name stands for an address inside a private network."""


def checked_address(typed: str) -> str:
    """Return an address that may be posted to, by its looks alone.  Raises ``Refused`` for any other."""
    address = typed.strip()
    if len(address) > LONGEST_ADDRESS or not address.isascii() or not address.isprintable() or " " in address:
        raise Refused("This address has signs in it that no address has, or is too long.", WRITE)
    try:
        parts = urlsplit(address)
        port = parts.port
    except ValueError:
        raise Refused("This is no address.", WRITE) from None
    if parts.scheme != "https" or not parts.hostname or parts.username is not None or parts.password is not None:
        raise Refused("The address does not begin with https:// and a name, or holds a password.", WRITE)
    if parts.fragment or "\\" in address or not (port in (None, 443) or port >= 1024):
        raise Refused("The address has a part that cannot be posted to.", WRITE)
    _refuse_inside(parts.hostname)
    return address


def _refuse_inside(host: str) -> None:
    literal = None
    with suppress(ValueError):
        literal = ipaddress.ip_address(host.partition("%")[0])
    looks_private = host.endswith((".local", ".internal", ".localhost", ".lan", ".home.arpa")) or "." not in host
    if (literal is not None and not is_public(literal)) or (literal is None and looks_private):
        raise Refused("This address lies inside a private network.", WRITE)


def is_public(address: Address) -> bool:
    """Tell whether an address is one that anybody reaches over the open net; a wrapped one is looked into."""
    if isinstance(address, ipaddress.IPv6Address):
        if address in NAT64:
            return is_public(ipaddress.IPv4Address(int(address) & 0xFFFFFFFF))
        if address.ipv4_mapped or address.sixtofour or address.teredo:
            return False
    outside = address.is_global and not (address.is_private or address.is_multicast or address.is_reserved
                                         or address.is_loopback or address.is_link_local or address.is_unspecified)
    return outside and not any(address.version == network.version and address in network for network in INSIDE)


def resolved(host: str, port: int) -> list[str]:
    """Return every address that a name stands for at this moment."""
    return [str(info[4][0]).partition("%")[0] for info in socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)]


def looked_up(host: str, port: int) -> str:
    """Return one public address of ``host``.  Raises ``NotPublic`` where any of them is not, ``OSError`` for none."""
    found = resolved(host, port)
    if not found or not all(is_public(ipaddress.ip_address(one)) for one in found):
        raise NotPublic
    return found[0]


def tls() -> ssl.SSLContext:
    """Return how the far side is checked: by its certificate and its name."""
    return ssl.create_default_context()


class _Pinned(http.client.HTTPSConnection):
    """A connection to the one address that was looked at; certificate and Host are still those of the name."""

    def __init__(self, host: str, port: int, ip: str) -> None:
        self.tls = tls()
        super().__init__(host, port, timeout=SECONDS, context=self.tls)
        self.ip = ip

    def connect(self) -> None:
        line = connected(self.ip, self.port)
        self.sock = self.tls.wrap_socket(line, server_hostname=self.host)

    def cut(self) -> None:
        """End it from outside, in the middle of whatever it waits for."""
        with suppress(OSError, AttributeError):
            self.sock.shutdown(socket.SHUT_RDWR)


def connected(ip: str, port: int) -> socket.socket:
    """Return a line to an address as it stands, without any further looking up."""
    return socket.create_connection((ip, port), SECONDS)


def far_post(address: str, body: bytes, headers: dict[str, str]) -> Outcome:
    """Post once, and return what became of it; whatever goes wrong on the way is worth another try later."""
    try:
        parts = urlsplit(checked_address(address))
        host, port = str(parts.hostname), parts.port or 443
        line = _Pinned(host, port, looked_up(host, port))
    except (NotPublic, Refused):
        return Outcome(FAILED, "The address leads into a private network, where nothing is sent.")
    except OSError as problem:
        return Outcome(LATER, f"The address was not found ({problem.strerror or problem}).")
    path = f"{parts.path or '/'}{'?' + parts.query if parts.query else ''}"
    return _posted(line, path, body, headers)


def _posted(line: _Pinned, path: str, body: bytes, headers: dict[str, str]) -> Outcome:
    knife = threading.Timer(LONGEST, line.cut)
    knife.daemon = True
    knife.start()
    try:
        line.request("POST", path, body, headers)
        return _outcome(line.getresponse().status)  # what comes behind its head may drip for hours, and says nothing
    except (OSError, http.client.HTTPException) as problem:
        return Outcome(LATER, f"No answer was understood ({type(problem).__name__}: {storable(str(problem)[:200])}).")
    finally:
        knife.cancel()
        line.close()


def _outcome(status: int) -> Outcome:
    if 200 <= status < 300:
        return Outcome(SENT)
    if 300 <= status < 400:
        return Outcome(FAILED, f"It answered {status} and wanted to send us on, which we do not follow.")
    if status == GONE:
        return Outcome(FAILED, "It answered 410: gone for good.")
    return Outcome(LATER, f"It answered {status}.")
