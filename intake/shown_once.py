"""Secrets that a page shows once.  A doubled click throws the first answer away, and its secret would be lost with it.

So the page carries a word of its own, and the secret follows from that word, from who asks and from the installation's
key: the same click again comes to the same secret, and what the first one made is found by it.
"""
from __future__ import annotations

import re
from datetime import timedelta

from django.db.models import Model
from django.http import HttpRequest

from intake.tokens import new_token, secret_from

AGAIN = timedelta(minutes=10)
"""So long a page may come again; then what it made is not shown any more."""
_WORD = re.compile(r"[\w-]{43}", re.ASCII)


def salt_of_page(request: HttpRequest, whose: Model) -> str:
    """Return the salt of the secret that this page's button makes; a fresh one for a page without its word."""
    word = request.POST.get("once", "")
    return secret_from(f"page of {whose._meta.label} {whose.pk} {word}") if _WORD.fullmatch(word) else new_token()
