"""Secrets that are shown once: random, and stored only as a hash."""
from __future__ import annotations

import hashlib
import secrets


def new_token() -> str:
    """Return 256 random bits as text that is safe in an address."""
    return secrets.token_urlsafe(32)


def hash_token(token: str) -> str:
    """Return what is stored of a token.  It is random enough that a plain SHA-256 needs no salt."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
