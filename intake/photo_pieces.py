"""Photos on their way in: begun, added to, whole, given up, swept away.

A phone in a cold garage loses its signal half way.  It asks how much is here and sends the rest; what was sent twice is
written to the same place twice and harms nothing.  A plain form sends all in one go and takes the same steps.  Once all
bytes are safe the request is answered: ``photo_making`` does the rest.
"""
from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from functools import partial
from io import RawIOBase
from pathlib import Path
from typing import BinaryIO

from django.core.files.base import File
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from intake import photos
from intake.errors import Refused
from intake.events import PHOTO_ADDED, RIDER, record_event
from intake.models import PhotoUpload, Round
from intake.paths import storable
from intake.photo_files import bytes_here, file_of, folder, made_file
from intake.signals import photo_waiting
from intake.tokens import new_token

MOST_UNFINISHED = 40
"""Uploads that one round can have open: more than photos fit, few enough not to fill a disk."""
KEPT = timedelta(days=1)
MADE_KEPT = timedelta(days=60)
"""What became of a photo is known so long to a phone that did not hear it: else it would send the photo once more."""
PIECE = 256 * 1024


class WrongOffset(Exception):
    """A piece does not begin where the last one ended; ``received`` says where that is."""

    def __init__(self, received: int) -> None:
        super().__init__(str(received))
        self.received = received


def begin_upload(
    *, round: Round, place: str, size: int, path: str = "", caption: str = "", token: str = "",
) -> PhotoUpload:
    """Make room for a photo of ``size`` bytes; ``token``: what a request that may come twice is known by.

    Raises ``Refused`` for a size that no photo has, and for whatever would refuse the photo in the end.
    """
    photos.refuse_size(size)
    photos.refuse_place(round, place, path)
    _refuse_too_many_half_sent(round)
    upload = PhotoUpload.objects.create(round=round, token=token or new_token(), place=place, path=path, size=size,
                                        caption=" ".join(storable(caption).split())[:200])
    folder().mkdir(parents=True, exist_ok=True)
    file_of(upload).touch(mode=0o600)
    return upload


def _refuse_too_many_half_sent(round: Round) -> None:
    if round.photo_uploads.filter(whole_since=None).count() >= MOST_UNFINISHED:
        raise Refused(_("Too many photos of this case are half sent."),
                      _("Wait until those on your phone are sent; what nobody goes on with is dropped after a day."))


def add_photo(
    *, round: Round, place: str, upload: File, path: str = "", caption: str = "", who: str = RIDER, ring: bool = True,
    token: str = "",
) -> PhotoUpload:
    """Take in a photo that came in one go, for a section or bench test of an open round or one question of it.

    Raises ``Refused`` for a file that is too large or surely no photo, for a page or question that does not exist, for
    a photo too many, and where the round no longer takes answers.  What else may be wrong the worker will say.
    """
    begun = begin_upload(round=round, place=place, size=upload.size or 0, path=path, caption=caption, token=token)
    with open(file_of(begun), "r+b") as file:
        for piece in upload.chunks(PIECE):
            file.write(piece)
    return finish_upload(upload=begun, who=who, ring=ring)


def add_piece(*, upload: PhotoUpload, offset: int, stream: BinaryIO) -> int:
    """Add what the stream holds, however little arrives before the signal is lost; return how much is here now.

    Raises ``WrongOffset`` where the piece begins elsewhere, and ``Refused`` where it is longer than was said.
    """
    here = bytes_here(upload)
    if offset != here:
        raise WrongOffset(here)
    with open(file_of(upload), "r+b", buffering=0) as file:
        file.seek(offset)
        for piece in _until_gone(stream):
            _write_all(file, piece)
            if file.tell() > upload.size:
                file.truncate(offset)
                raise Refused(_("The photo is longer than was said at the start."), _("Send it again from the start."))
        return file.tell()


def _write_all(file: RawIOBase, piece: bytes) -> None:
    """Write a piece; what a disk that fills up still took counts, and is in its place."""
    left = memoryview(piece)
    while left:
        left = left[file.write(left):]


def _until_gone(stream: BinaryIO) -> Iterator[bytes]:
    """Yield what arrives until its end, or until the sender is gone: what came before that counts."""
    with contextlib.suppress(OSError):
        while piece := stream.read(PIECE):
            yield piece


def finish_upload(*, upload: PhotoUpload, who: str = RIDER, ring: bool = True) -> PhotoUpload:
    """Look at an upload that has all its bytes, make them safe and leave it to the worker.  Twice does it once.

    Without ``ring`` no worker is told: the caller makes the photo itself.
    Raises ``Refused`` where it is surely no photo, is one too many or comes too late; then the upload is gone.
    """
    if upload.is_whole:
        return upload
    try:
        _make_safe(upload)
        with transaction.atomic():
            photos.refuse_frozen(upload.round)  # holds the round
            photos.refuse_too_many(upload.round)
            if _came(upload, who) and ring:
                transaction.on_commit(partial(photo_waiting.send, sender=PhotoUpload, upload_id=upload.pk), robust=True)
    except Refused:
        if _drop_unfinished(upload):
            raise
    upload.refresh_from_db()
    return upload


def _make_safe(upload: PhotoUpload) -> None:
    try:
        with open(file_of(upload), "r+b") as file:
            photos.refuse_looks(file)
            file.truncate(upload.size)  # a longer piece may have been here before
            os.fsync(file.fileno())
    except FileNotFoundError:
        raise photos.NoPhoto(photos.GIVEN_UP) from None


def _came(upload: PhotoUpload, who: str) -> bool:
    """Put the photo down as received; false where another request has done so already."""
    now = timezone.now()
    if not PhotoUpload.objects.filter(pk=upload.pk, whole_since=None).update(whole_since=now, touched_at=now):
        return False
    record_event(case=upload.round.case, who=who, what=PHOTO_ADDED,
                 detail={"place": upload.place, "path": upload.path})
    return True


def _drop_unfinished(upload: PhotoUpload) -> bool:
    """Give up an upload, unless the same request sent twice has brought it home meanwhile; false where it has."""
    PhotoUpload.objects.filter(pk=upload.pk, whole_since=None).delete()
    if PhotoUpload.objects.filter(pk=upload.pk).exists():
        return False
    file_of(upload).unlink(missing_ok=True)
    return True


def drop_upload(*, upload: PhotoUpload) -> None:
    """Give up an upload; a photo that it became stays, and what a killed worker had written of one goes."""
    unmade, _all = PhotoUpload.objects.filter(pk=upload.pk, photo=None).delete()
    PhotoUpload.objects.filter(pk=upload.pk).delete()
    file_of(upload).unlink(missing_ok=True)
    if unmade:
        made_file(upload).unlink(missing_ok=True)


def sweep_uploads() -> int:
    """Drop uploads whose file nobody has added to for a day, and files that nobody needs; return how many uploads.

    What came whole stays until it is a photo, its row for two months more, and what was refused until its rider has
    taken it away.  Another sweep at the same time harms nothing, and where there is no folder, as on a machine that has
    no photos, there are no files.
    """
    now = timezone.now()
    idle = PhotoUpload.objects.filter(Q(whole_since=None, touched_at__lt=now - KEPT)
                                      | Q(photo__isnull=False, touched_at__lt=now - MADE_KEPT))
    dropped = 0
    for upload in idle[:500]:
        if not upload.is_whole and _has_grown(upload, now - KEPT):
            continue
        gone, _all = idle.filter(pk=upload.pk).delete()  # asked again: it may have come whole just now
        if gone:
            file_of(upload).unlink(missing_ok=True)
            dropped += 1
    for file in _not_needed(now - KEPT):
        file.unlink(missing_ok=True)
    return dropped


def _has_grown(upload: PhotoUpload, since: datetime) -> bool:
    file = file_of(upload)
    return file.exists() and not _is_older(file, since)


def _not_needed(before: datetime) -> Iterable[Path]:
    """Return files of what is a photo or refused by now, and old ones without a row, such as an erased case's."""
    files = {file.stem: file for file in folder().glob("*.part")}
    rows = PhotoUpload.objects.filter(token__in=files).values_list("token", "photo", "refused_as")
    done = {token: (photo, refused) != (None, None) for token, photo, refused in rows}
    return [file for token, file in files.items() if done.get(token, _is_older(file, before))]


def _is_older(file: Path, before: datetime) -> bool:
    try:
        return file.stat().st_mtime < before.timestamp()
    except FileNotFoundError:  # another sweep was quicker
        return False
