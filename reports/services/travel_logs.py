"""A data logger's recording in a case: kept, read with its columns mapped, and taken out again."""
from __future__ import annotations

import zlib
from collections.abc import Mapping
from pathlib import PurePath

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from analysis import Case as CaseDocument
from analysis import CaseFaults, parse_case
from analysis.columns_seen import columns_seen
from analysis.say import phrases_in
from analysis.travel_part import travel_log_part
from intake.errors import Refused
from intake.events import record_event
from intake.models import Round
from reports.models import Draft, TravelLog
from reports.travel_mapping import Names, read_mapping

MOST_BYTES = 24_000_000
"""Bytes of a recording as it comes: ten minutes at a thousand readings a second."""
MOST_PACKED = 5_000_000
"""Bytes that are kept of one recording."""
MOST_LOGS = 10
"""Recordings in one round."""
CUT = "Cut out the part of interest, or record fewer columns, and add it again."


@transaction.atomic
def add_travel_log(*, round: Round, name: str, raw: bytes, user: AbstractBaseUser) -> TravelLog:
    """Keep a recording, not read yet.

    Raises ``Refused`` where it is too large or one too many, LogFaults where it is no table of readings.
    """
    if len(raw) > MOST_BYTES:
        raise Refused(f"The file is larger than {MOST_BYTES // 1_000_000} MB.", CUT)
    if round.travel_logs.count() >= MOST_LOGS:
        raise Refused(f"This round has {MOST_LOGS} recordings already.", "Remove one that is not needed.")
    columns_seen(raw)
    packed = zlib.compress(raw, 6)
    if len(packed) > MOST_PACKED:
        raise Refused(f"The file is larger than {MOST_PACKED // 1_000_000} MB even when it is compressed.", CUT)
    short = PurePath(name.replace("\x00", "")).name[-120:] or "recording.csv"
    log = TravelLog.objects.create(round=round, name=short, packed=packed, added_by=user.get_username())
    record_event(case=round.case, who=user.get_username(), user=user, what="Added a travel log.",
                 detail={"name": short, "round": round.number})
    return log


def recording(*, log: TravelLog) -> bytes:
    """Return the recording as it came."""
    return zlib.decompress(bytes(log.packed))


@transaction.atomic
def read_travel_log(*, log: TravelLog, typed: Mapping[str, str], names: Names, user: AbstractBaseUser) -> TravelLog:
    """Read the recording with its columns as ``typed``, against the round's newest findings, and keep what it says.

    ``names`` says what the typed fields are called.  Raises LogFaults with every fault of the mapping and the file;
    what was kept before stays then.
    """
    mapped = read_mapping(typed, _document(log.round), names)
    draft = newest_draft(round=log.round)
    part = travel_log_part(recording(log=log), mapped.time, mapped.sensors, draft.findings if draft else None,
                           mapped.near)
    log.mapping, log.summary, log.draft = dict(typed), part | {"phrases": phrases_in(part)}, draft
    log.save(update_fields=["mapping", "summary", "draft"])
    record_event(case=log.round.case, who=user.get_username(), user=user, what="Read a travel log.",
                 detail={"name": log.name, "columns": dict(typed)})
    return log


@transaction.atomic
def remove_travel_log(*, log: TravelLog, user: AbstractBaseUser) -> None:
    """Take a recording and what it said out of the case."""
    record_event(case=log.round.case, who=user.get_username(), user=user, what="Removed a travel log.",
                 detail={"name": log.name})
    log.delete()


def newest_draft(*, round: Round) -> Draft | None:
    """Return the round's newest draft."""
    return Draft.objects.filter(round=round).order_by("-revision", "-id").first()


def _document(round: Round) -> CaseDocument | None:
    """Return the round's answers, for its strokes; None where they have faults yet."""
    try:
        return parse_case(round.document)
    except CaseFaults:
        return None
