"""Secrets that are shown once: random, and stored only as a hash."""
from __future__ import annotations

import base64
import hashlib
import secrets

from django.utils.crypto import salted_hmac


def new_token() -> str:
    """Return 256 random bits as text that is safe in an address."""
    return secrets.token_urlsafe(32)


def hash_token(token: str) -> str:
    """Return what is stored of a token.  It is random enough that a plain SHA-256 needs no salt."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def secret_from(salt: str) -> str:
    """Return the secret that belongs to ``salt``: it takes the installation's own key to make it, so a copy of the
    database alone gives none away."""
    made = salted_hmac("farbench secret", salt, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(made).decode().rstrip("=")
