"""Codes that change with the clock, as RFC 6238 says (HMAC-SHA-1, steps of 30 seconds, six digits)."""
from __future__ import annotations

import base64
import hashlib
import hmac
from urllib.parse import quote

STEP = 30
"""Seconds."""
DIGITS = 6
SKEW = 1
"""A phone's clock may be one step off, either way (RFC 6238, section 5.2)."""


def code_at(secret: bytes, step: int, digits: int = DIGITS) -> str:
    """Return the code of one step: the HMAC of its number, cut down as RFC 4226 says in section 5.3."""
    made = hmac.digest(secret, step.to_bytes(8, "big"), hashlib.sha1)
    start = made[-1] & 0xF
    number = int.from_bytes(made[start:start + 4], "big") & 0x7FFFFFFF
    return str(number % 10 ** digits).zfill(digits)


def step_of(code: str, secret: bytes, seconds: float) -> int | None:
    """Return the step that ``code`` belongs to at this time, give or take the skew; None where it is a wrong one.

    Every step is compared, whether one before it was right or not, so that the time taken tells nothing.
    """
    now = int(seconds // STEP)
    steps = range(now - SKEW, now + SKEW + 1)
    right = [step for step in steps if hmac.compare_digest(code_at(secret, step).encode(), code.encode())]
    return max(right, default=None)


def key_text(secret: bytes) -> str:
    """Return the secret as it is typed into a phone: base 32, in groups of four."""
    whole = base64.b32encode(secret).decode().rstrip("=")
    return " ".join(whole[start:start + 4] for start in range(0, len(whole), 4))


def key_address(secret: bytes, name: str) -> str:
    """Return what the QR code holds, as programs for such codes read it (common practice, no source)."""
    key = key_text(secret).replace(" ", "")
    return f"otpauth://totp/Farbench:{quote(name, safe='')}?secret={key}&issuer=Farbench"
