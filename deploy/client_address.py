"""From where a request came, behind the proxy: for counting wrong passwords."""
from __future__ import annotations

import ipaddress

from django.http import HttpRequest


def client_address(request: HttpRequest) -> str:
    """Return the address that the proxy saw: the last one in its header, as anybody can write others before it.

    Without it every request would come from the proxy, and a stranger's wrong passwords would lock the tuner out.
    """
    seen = request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
    try:
        return str(ipaddress.ip_address(seen))
    except ValueError:
        return str(request.META.get("REMOTE_ADDR", ""))
