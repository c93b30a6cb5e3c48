"""Every read of a rider's data by a person is one row; looking again within ten minutes is the same read."""
from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from django.db.models import Exists, OuterRef
from django.utils import timezone

from intake.models import Case, Read

ONE_READ = timedelta(minutes=10)
PLACES = ("photo_id", "log", "round_number")
"""What an address may name besides the case."""


def record_read(*, number: str, what: str, which: int = 0, user_id: int | None = None,
                token_id: int | None = None) -> None:
    """Note that a person looked at something of a case: one question, and one row where it is a new read."""
    read = {"what": what[:40], "which": which, "user_id": user_id, "token_id": token_id}
    again = Read.objects.filter(case=OuterRef("pk"), at__gt=timezone.now() - ONE_READ, **read)
    found = Case.objects.filter(number=number.strip().upper()).values_list("pk", Exists(again)).first()
    if found and not found[1]:
        Read.objects.create(case_id=found[0], **read)


def note_answer(request: Any, answer: Any, named: Mapping[str, Any], *, user_id: int | None = None,
                token_id: int | None = None) -> None:
    """Record what an answer to ``request`` showed of the case that its address names; a refusal showed nothing."""
    if "number" not in named or request.method not in ("GET", "HEAD") or answer.status_code >= 300:
        return
    which = next((int(named[place]) for place in PLACES if place in named), 0)
    record_read(number=named["number"], what=request.resolver_match.url_name, which=which, user_id=user_id,
                token_id=token_id)
