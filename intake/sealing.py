"""The trail is sealed: each minute's new rows are tied into a chain, and the chain can be walked.

Whoever changes, adds or takes away a row later breaks it.  Who can write to the database could also make the whole
chain anew; against that, the newest hash is kept elsewhere (``manage.py audit --known HASH``).
"""
from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from intake.models import Erased, Event, Read, Seal

FIRST = "0" * 64
"""What the first link is tied to."""
SETTLED = timedelta(minutes=3)
"""A row this old has no older one still on its way: the longest transaction is shorter (CELERY_TASK_TIME_LIMIT)."""
AT_ONCE = 1000
KINDS: dict[str, tuple[Any, str, tuple[str, ...]]] = {
    "event": (Event, "at", ("id", "case_id", "at", "who", "what", "detail")),
    "read": (Read, "at", ("id", "case_id", "at", "user_id", "token_id", "what", "which")),
    "erased": (Erased, "erased_at", ("id", "case_key", "number", "outcome", "erased_at")),
}
"""Of every kind: its rows, when they were made, and what of them is sealed."""


def seal_trail() -> None:
    """Seal what is new and settled: one link for each kind.  Nothing waits for it, and two at once are harmless."""
    for kind in KINDS:
        previous = newest_hash() or FIRST  # before the rows: a sweep that seals them meanwhile makes ours fail
        rows = _new_rows(kind)
        if not rows:
            continue
        digests = [_digest(kind, row) for row in rows]
        link = {"kind": kind, "from_id": rows[0]["id"], "to_id": rows[-1]["id"], "digests": digests}
        try:
            with transaction.atomic():
                Seal.objects.create(**link, previous=previous, hash=link_hash(previous, link))
        except IntegrityError:  # another sweep was quicker; the next one goes on after it
            return


def broken_links() -> Iterator[str]:
    """Walk the chain and yield a sentence for everything that is not as it was sealed; nothing where all is well."""
    previous = FIRST
    reached = dict.fromkeys(KINDS, 0)
    for seal in Seal.objects.order_by("id").iterator(chunk_size=50):
        name = f"Seal {seal.pk} ({seal.kind} {seal.from_id} to {seal.to_id})"
        if seal.kind not in KINDS:
            yield f"{name}: there is no such kind."
            continue
        if seal.previous != previous:
            yield f"{name}: it is not tied to the seal before it; one was taken away, added or changed."
        link = {key: getattr(seal, key) for key in ("kind", "from_id", "to_id", "digests")}
        if link_hash(seal.previous, link) != seal.hash:
            yield f"{name}: the seal itself was changed."
        yield from (f"{name}: {fault}" for fault in _faults(seal, reached[seal.kind]))
        previous, reached[seal.kind] = seal.hash, max(seal.to_id, reached[seal.kind])


def newest_hash() -> str:
    """Return the hash to keep elsewhere; blank before the first seal."""
    return Seal.objects.order_by("-id").values_list("hash", flat=True).first() or ""


def erased_rows() -> int:
    """Return how many sealed rows went with cases that their riders had erased."""
    cases = set(Erased.objects.exclude(case_key=None).values_list("case_key", flat=True))
    links = Seal.objects.exclude(kind="erased").values_list("digests", flat=True).iterator()
    return sum(case in cases for digests in links for _row, case, _digest in digests)


def link_hash(previous: str, link: dict[str, Any]) -> str:
    """Return the hash of a link that is tied to ``previous``."""
    return hashlib.sha256(f"{previous}{_canonical(link)}".encode()).hexdigest()


def _faults(seal: Seal, reached: int) -> Iterator[str]:
    """Compare one seal with the rows as they are; rows between it and the seal before it are looked at too."""
    rows = {row["id"]: row for row in _rows(seal.kind).filter(id__gt=reached, id__lte=seal.to_id)}
    sealed = {one[0]: one for one in seal.digests}
    for number, (_number, case, digest) in sealed.items():
        row = rows.pop(number, None)
        if row is None and not (case and _was_erased(seal.kind, case)):
            yield f"row {number} was taken away."
        elif row is not None and _digest(seal.kind, row)[2] != digest:
            yield f"row {number} was changed."
    yield from (f"row {number} was added afterwards." for number in rows)


def _was_erased(kind: str, case: int) -> bool:
    """Tell whether the case was erased as a whole: then its number is kept, and no row of it is left."""
    if kind == "erased" or not Erased.objects.filter(case_key=case).exists():
        return False
    return not (Event.objects.filter(case_id=case).exists() or Read.objects.filter(case_id=case).exists())


def _new_rows(kind: str) -> list[dict[str, Any]]:
    _model, when, _fields = KINDS[kind]
    last = Seal.objects.filter(kind=kind).order_by("-id").values_list("to_id", flat=True).first() or 0
    rows = _rows(kind).filter(id__gt=last)
    young = rows.filter(**{f"{when}__gt": timezone.now() - SETTLED}).values_list("id", flat=True).first()
    return list((rows.filter(id__lt=young) if young else rows)[:AT_ONCE])


def _rows(kind: str) -> Any:
    model, _when, fields = KINDS[kind]
    return model.objects.order_by("id").values(*fields)


def _digest(kind: str, row: dict[str, Any]) -> list[Any]:
    digest = hashlib.sha256(_canonical({"kind": kind, **row}).encode()).hexdigest()
    return [row["id"], row.get("case_id"), digest]


def _canonical(content: dict[str, Any]) -> str:
    return json.dumps(content, sort_keys=True, separators=(",", ":"), default=lambda one: one.isoformat())
