"""Making a photo of what has come whole: claimed, made afresh outside of any request, stored in one transaction.

Every step may be cut off by a killed worker.  What is half done is under a name that follows from the upload's row, so
the next attempt writes over it, and whoever erases the case finds it.
"""
from __future__ import annotations

import io
import logging
import os
import threading
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy, override

from intake import photos
from intake.errors import Refused
from intake.events import PHOTO_REFUSED, WORKER, record_event
from intake.models import Photo, PhotoUpload, Round
from intake.photo_files import file_of, folder, made_file, name_of
from intake.photo_header import jpeg_size
from intake.photo_pieces import add_photo, drop_upload
from intake.tokens import new_token

PATIENCE = 25.0
"""Seconds that a program which wants its photo at once waits for its turn."""
TURNS = threading.BoundedSemaphore(1)
"""Pictures that one web process makes at a time for those; a picture can take 100 MB."""
LATER = (gettext_lazy("Many photos are coming in at this moment."),
         gettext_lazy("Wait a minute and send this one again."))
LEASE = timedelta(seconds=photos.SECONDS + 60)
MOST_ATTEMPTS = 3
logger = logging.getLogger(__name__)


class Busy(Refused):
    """Too many photos are being made at this moment; nothing is wrong with this one."""


def add_photo_at_once(*, patience: float = PATIENCE, token: str = "", **photo: Any) -> Photo:
    """Take in a photo as ``add_photo`` does and make it before answering, for a program that waits for it.

    A photo that came under the same ``token`` before, in a process that died over it, is gone on with and not doubled.
    Raises ``Refused`` for whatever is wrong with it, and ``Busy`` where its turn did not come within ``patience`` or
    another process has it at this moment.
    """
    if not TURNS.acquire(timeout=patience):
        raise Busy(*map(str, LATER))
    try:
        upload = _here_already(token) or add_photo(**photo, ring=False, token=token)
        made = upload.photo or make_photo(upload_id=upload.pk)
    finally:
        TURNS.release()
    return made or _made_elsewhere(upload, may_come_again=bool(token))


def _here_already(token: str) -> PhotoUpload | None:
    """Return what came whole under this token before; what came by half is dropped, for all of it is here again."""
    found = PhotoUpload.objects.select_related("photo").filter(token=token).first() if token else None
    if found is None or found.is_whole:
        return found
    drop_upload(upload=found)
    return None


def _made_elsewhere(upload: PhotoUpload, *, may_come_again: bool) -> Photo:
    """Return the photo that somebody else has made meanwhile, or raise why there is none."""
    now = PhotoUpload.objects.select_related("photo").filter(pk=upload.pk).first()
    if now and now.photo:
        return now.photo
    if now and now.refused_as is None and may_come_again:
        raise Busy(*map(str, LATER))
    if now:
        drop_upload(upload=now)
    raise photos.NoPhoto((now.refused_as if now else None) or photos.GIVEN_UP)


def make_photo(*, upload_id: int) -> Photo | None:
    """Claim an upload that is whole and make its photo; None where there was nothing to do or it is refused.

    Safe to call any number of times at once.  A refusal stays in the row, for rider and tuner to read.
    """
    if not folder().is_dir():  # nothing can have come here; another machine may know better
        logger.warning("A photo waits, and there is no folder for it here: MEDIA_ROOT has to be the same everywhere.")
        return None
    upload = _claimed(upload_id)
    if upload is None:
        return None
    try:
        return _stored(upload, photos.fresh_jpeg(file_of(upload)))
    except FileNotFoundError:  # once more later: a shared folder may be away for a moment
        return None
    except photos.NoPhoto as refused:
        refuse_upload(rows=_mine(upload), why=refused.why)
        return None
    except OSError:  # a full disk is not the photo's doing, and may last: it uses up no try
        _mine(upload).update(attempts=F("attempts") - 1)
        raise


def _claimed(upload_id: int) -> PhotoUpload | None:
    name, now = new_token(), timezone.now()
    rested = Q(claimed_until=None) | Q(claimed_until__lt=now)
    claimed = waiting_uploads().filter(rested, pk=upload_id, attempts__lt=MOST_ATTEMPTS).update(
        claimed_by=name, claimed_until=now + LEASE, attempts=F("attempts") + 1)
    return PhotoUpload.objects.filter(pk=upload_id, claimed_by=name).first() if claimed else None


def waiting_uploads() -> QuerySet[PhotoUpload]:
    """Return what has come whole and is neither a photo nor refused yet."""
    return PhotoUpload.objects.filter(whole_since__isnull=False, photo=None, refused_as=None)


def _mine(upload: PhotoUpload) -> QuerySet[PhotoUpload]:
    return waiting_uploads().filter(pk=upload.pk, claimed_by=upload.claimed_by)


def _stored(upload: PhotoUpload, fresh: bytes) -> Photo | None:
    """Keep the photo and say so in the upload's row, both or neither; the bytes that came go after that."""
    with transaction.atomic():
        # The round first, as where a case is erased, or the two could wait for each other.
        held = Round.objects.filter(pk=upload.round_id).update(number=F("number"))
        if not (held and _mine(upload).update(claimed_until=None, touched_at=timezone.now())):
            return None  # its rider gave it up, the case was erased, or the lease ran out and another has it
        _write_safely(made_file(upload), fresh)
        width, height = jpeg_size(io.BytesIO(fresh)) or (0, 0)
        photo = Photo.objects.create(
            round_id=upload.round_id, place=upload.place, path=upload.path, caption=upload.caption,
            file=name_of(upload), width=width, height=height)
        PhotoUpload.objects.filter(pk=upload.pk).update(photo=photo)
    file_of(upload).unlink(missing_ok=True)
    return photo


def _write_safely(file: Path, data: bytes) -> None:
    """Write it so that it outlives a power cut: what it was made from is deleted next."""
    file.parent.mkdir(parents=True, exist_ok=True)
    with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())


def refuse_upload(*, rows: QuerySet[PhotoUpload], why: int) -> None:
    """Put down why the one upload that ``rows`` selects is no photo; nothing where it selects none."""
    upload = rows.select_related("round__case").first()
    if upload is None:
        return
    with transaction.atomic():
        if not rows.filter(pk=upload.pk).update(refused_as=why, claimed_until=None, touched_at=timezone.now()):
            return
        with override("en"):
            reason = " ".join(map(str, photos.REFUSALS[why]))
        record_event(case=upload.round.case, who=WORKER, what=PHOTO_REFUSED,
                     detail={"place": upload.place, "path": upload.path, "reason": reason})
    for file in (file_of(upload), made_file(upload)):
        file.unlink(missing_ok=True)


def give_up_on_what_kills_workers(at_once: int) -> None:
    """Refuse what no worker came back from as often as is tried."""
    silent = waiting_uploads().filter(claimed_until__lt=timezone.now(), attempts__gte=MOST_ATTEMPTS)
    for upload_id in silent.values_list("pk", flat=True)[:at_once]:
        refuse_upload(rows=silent.filter(pk=upload_id), why=photos.GIVEN_UP)
