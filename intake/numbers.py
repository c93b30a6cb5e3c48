"""Case numbers: short enough for the telephone, not guessable in a row."""
from __future__ import annotations

import secrets

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""No I, O, 0 or 1: they are misread on a dirty sheet."""


def new_case_number() -> str:
    """Return a fresh number like ``FB-7K3QX9``; the database's unique constraint catches the rare repeat."""
    return "FB-" + "".join(secrets.choice(LETTERS) for _ in range(6))
