"""Photos that come piece by piece: begun, added to, finished, swept away.

A phone in a cold garage loses its signal half way.  It asks how much is here and sends the rest; what was sent twice is
written to the same place twice and harms nothing.
"""
from __future__ import annotations

import contextlib
from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.core.files.base import File
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from intake import photos
from intake.errors import Refused
from intake.models import Photo, PhotoUpload, Round
from intake.paths import storable
from intake.tokens import new_token

MOST_UNFINISHED = 40
"""Uploads that one round can have open: more than photos fit, few enough not to fill a disk."""
KEPT = timedelta(days=1)
LEASE = timedelta(seconds=90)
PIECE = 64 * 1024


class WrongOffset(Exception):
    """A piece does not begin where the last one ended; ``received`` says where that is."""

    def __init__(self, received: int) -> None:
        super().__init__(str(received))
        self.received = received


class BeingRead(Exception):
    """Another request is reading this picture at this moment."""


def begin_upload(*, round: Round, place: str, size: int, path: str = "", caption: str = "") -> PhotoUpload:
    """Make room for a photo of ``size`` bytes.

    Raises ``Refused`` for a size that no photo has, and for whatever would refuse the photo in the end.
    """
    photos.refuse_size(size)
    photos.refuse_place(round, place, path)
    if round.photo_uploads.filter(photo=None).count() >= MOST_UNFINISHED:
        raise Refused(_("Too many photos of this case are half sent."),
                      _("Wait until those on your phone are sent; what nobody goes on with is dropped after a day."))
    upload = PhotoUpload.objects.create(round=round, token=new_token(), place=place, path=path, size=size,
                                        caption=" ".join(storable(caption).split())[:200])
    file_of(upload).parent.mkdir(parents=True, exist_ok=True)
    file_of(upload).touch(mode=0o600)
    return upload


def add_piece(*, upload: PhotoUpload, offset: int, stream: BinaryIO) -> int:
    """Add what the stream holds, however little arrives before the signal is lost; return how much is here now.

    Raises ``WrongOffset`` where the piece begins elsewhere, and ``Refused`` where it is longer than was said.
    """
    if offset != upload.received:
        raise WrongOffset(upload.received)
    end = _written(upload, offset, stream)
    if end > upload.size:
        raise Refused(_("The photo is longer than was said at the start."), _("Send it again from the start."))
    if end == offset:  # nothing came: a phone that asks again whether its photo is read by now
        return end
    rows = PhotoUpload.objects.filter(pk=upload.pk, received=offset)
    if not rows.update(received=end, touched_at=timezone.now()):
        upload.refresh_from_db()
        raise WrongOffset(upload.received)
    upload.received = end
    return end


def _written(upload: PhotoUpload, offset: int, stream: BinaryIO) -> int:
    with open(file_of(upload), "r+b") as file:
        file.seek(offset)
        with contextlib.suppress(OSError):  # the sender is gone; what came before that counts
            for piece in iter(lambda: stream.read(PIECE), b""):
                file.write(piece)
                if file.tell() > upload.size:
                    break
        return file.tell()


def finish_upload(*, upload: PhotoUpload) -> Photo:
    """Turn an upload that is whole into a photo.  A second time returns the same photo.

    Raises ``BeingRead`` while another request is at it, ``photos.Busy`` while too many others are read, and ``Refused``
    where the picture is; then the upload is gone.
    """
    if upload.photo is not None:
        return upload.photo
    if photos.all_turns_taken():  # asked before anything is written: fifty phones ask every other second
        raise photos.Busy(*map(str, photos.LATER))
    now, mine = timezone.now(), PhotoUpload.objects.filter(pk=upload.pk, photo=None)
    if not mine.filter(Q(claimed_until=None) | Q(claimed_until__lt=now)).update(claimed_until=now + LEASE):
        raise BeingRead
    try:
        photo = _photo_from(upload)
    except photos.Busy:
        mine.update(claimed_until=None)
        raise
    except Refused:
        mine.delete()
        file_of(upload).unlink(missing_ok=True)
        raise
    # In one go: let go of first, another request would find it unread and make a second photo of it.
    mine.update(photo=photo, claimed_until=None, touched_at=timezone.now())
    file_of(upload).unlink(missing_ok=True)
    return photo


def _photo_from(upload: PhotoUpload) -> Photo:
    with open(file_of(upload), "rb") as file:
        return photos.add_photo(round=upload.round, place=upload.place, path=upload.path, caption=upload.caption,
                                upload=File(file), patience=0.0)


def drop_upload(*, upload: PhotoUpload) -> None:
    """Give up an upload; a photo that it became stays."""
    file_of(upload).unlink(missing_ok=True)
    upload.delete()


def sweep_uploads() -> int:
    """Drop uploads that nobody has gone on with for a day, and files that belong to none; return how many uploads."""
    before = timezone.now() - KEPT
    old = list(PhotoUpload.objects.filter(touched_at__lt=before)[:500])
    for upload in old:
        drop_upload(upload=upload)
    for file in _left_behind(before.timestamp()):
        file.unlink(missing_ok=True)
    return len(old)


def _left_behind(before: float) -> Iterable[Path]:
    """Return old files without a row, such as those of a case that was erased."""
    old = [file for file in _folder().glob("*.part") if file.stat().st_mtime < before]
    known = set(PhotoUpload.objects.filter(token__in=[file.stem for file in old]).values_list("token", flat=True))
    return [file for file in old if file.stem not in known]


def _folder() -> Path:
    return Path(settings.MEDIA_ROOT) / "half-sent"


def file_of(upload: PhotoUpload) -> Path:
    """Return where the bytes lie until all of them are there."""
    return _folder() / f"{upload.token}.part"
