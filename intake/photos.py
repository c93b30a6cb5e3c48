"""Photos: a fresh image from the pixels, or a clear word why not.

Whatever is uploaded is decoded by ``photo_child`` in a process with limits, and only the new JPEG it returns is kept.
So a place, a name or a script that travelled inside or behind the picture stays behind; a file that is something else
first and a picture second is refused.
"""
from __future__ import annotations

import subprocess
import sys
import tempfile
import threading
import uuid
from pathlib import Path
from typing import IO

from django.core.files.base import ContentFile, File
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from analysis.catalogue import QUESTIONS
from intake import photo_child
from intake.errors import Refused
from intake.events import PHOTO_ADDED, RIDER, record_event
from intake.models import Photo, Round
from intake.paths import storable
from intake.services.rounds import PLACES
from intake.states import open_round

MOST_BYTES = 25 * 1024 * 1024
MOST_PHOTOS = 30
SECONDS = 30
PATIENCE = 25.0
"""Seconds that a plain form waits for its turn; a phone that sends in pieces comes back by itself instead."""
TURNS = threading.BoundedSemaphore(1)
"""Pictures that one web process has decoded at a time: there are about as many processes as processors, and one
picture can take 100 MB."""
TAKE_ANOTHER = gettext_lazy("Take the photo again with the phone's own camera, and send that one.")
SMALLER = gettext_lazy("Send it smaller: a phone's normal setting is plenty.")
REFUSALS = {
    photo_child.NOT_A_PICTURE: (gettext_lazy("This file is not a photo that we can read."),
                                gettext_lazy("Send a JPEG, PNG, WebP or HEIC file, as a phone's camera makes them.")),
    photo_child.TOO_MANY_PIXELS: (gettext_lazy("This picture has more than 50 million pixels."), SMALLER),
    photo_child.BROKEN: (gettext_lazy("This photo is damaged or cut short, perhaps on the way."),
                         gettext_lazy("Send it again. If that does not help, take it again with the phone's own "
                                      "camera.")),
    photo_child.MOVES: (gettext_lazy("This is a moving picture."),
                        gettext_lazy("Send a single photo, and say in words what moves.")),
}
TOO_MUCH = (gettext_lazy("This picture takes more memory or time to open than a photo should."), TAKE_ANOTHER)


LATER = (gettext_lazy("Many photos are coming in at this moment."),
         gettext_lazy("Wait a minute and send this one again."))


class Busy(Refused):
    """Too many photos are being read at this moment; nothing is wrong with this one."""


def add_photo(
    *, round: Round, place: str, upload: File, path: str = "", caption: str = "", who: str = RIDER,
    patience: float = PATIENCE,
) -> Photo:
    """Keep a photo with a section or bench test of an open round, or with one question of it.

    Raises ``Refused`` for a file that is too large, is no photo, is broken or takes too much to decode, for a page or
    question that does not exist, for a photo too many, and where the round no longer takes answers; ``Busy`` where it
    did not come to its turn within ``patience`` seconds.
    """
    refuse_place(round, place, path)  # before the costly part; asked again below, holding the round
    fresh = fresh_jpeg(upload, patience)
    with transaction.atomic():
        _refuse_frozen(round)
        _refuse_too_many(round)
        photo = Photo.objects.create(
            round=round, place=place, path=path, caption=" ".join(storable(caption).split())[:200],
            file=ContentFile(fresh, f"{uuid.uuid4().hex}.jpg"))
        record_event(case=round.case, who=who, what=PHOTO_ADDED,
                     detail={"photo": photo.pk, "place": place, "path": path})
    return photo


def remove_photo(*, photo: Photo, who: str = RIDER) -> None:
    """Take a photo away from an open round; its file goes after the commit."""
    with transaction.atomic():
        _refuse_frozen(photo.round)
        file = photo.file
        record_event(case=photo.round.case, who=who, what="Photo removed.",
                     detail={"photo": photo.pk, "place": photo.place})
        photo.delete()
        transaction.on_commit(lambda: file.storage.delete(file.name), robust=True)


def fresh_jpeg(upload: File, patience: float = PATIENCE) -> bytes:
    """Return a new JPEG made from the upload's pixels, or raise ``Refused`` saying what is wrong with it."""
    refuse_size(upload.size or 0)
    if not TURNS.acquire(timeout=patience):
        raise Busy(*map(str, LATER))
    try:
        with tempfile.TemporaryFile() as file:  # another process reads it, so that it is not held in memory here
            upload.seek(0)
            for piece in upload.chunks():
                file.write(piece)
            file.seek(0)
            return _decoded(file)
    finally:
        TURNS.release()


def all_turns_taken() -> bool:
    """Tell whether this process is decoding as many pictures as it may."""
    free = TURNS.acquire(blocking=False)
    if free:
        TURNS.release()
    return not free


def refuse_size(size: int) -> None:
    """Refuse a file of a size that no photo has."""
    if size > MOST_BYTES:
        raise Refused(_("This file is larger than 25 MB."), str(SMALLER))
    if size < 1:
        raise Refused(_("This file is empty."), str(TAKE_ANOTHER))


def refuse_place(round: Round, place: str, path: str) -> None:
    """Refuse a photo for a page or question that there is not, and for a round that takes no more."""
    if place not in PLACES:
        raise Refused(_("The form has no page '%(place)s'.") % {"place": place[:80]},
                      _("Open the page again and add the photo there."))
    if path and path not in QUESTIONS:
        raise Refused(_("There is no question '%(path)s'.") % {"path": path[:80]},
                      _("Open the page again and add the photo there."))
    _refuse_frozen(round)
    _refuse_too_many(round)


def _decoded(file: IO[bytes]) -> bytes:
    try:
        # -I: nothing from the surroundings is imported.  The limits are set by the child itself.
        child = subprocess.run(
            [sys.executable, "-I", str(Path(photo_child.__file__))], stdin=file, capture_output=True,
            timeout=SECONDS, env={}, check=False)
    except subprocess.TimeoutExpired:
        raise Refused(*map(str, TOO_MUCH)) from None
    if child.returncode == 0 and child.stdout:
        return child.stdout
    raise Refused(*map(str, REFUSALS.get(child.returncode, TOO_MUCH)))


def _refuse_too_many(round: Round) -> None:
    if round.photos.count() >= MOST_PHOTOS:
        raise Refused(_("There are %(most)s photos already.") % {"most": MOST_PHOTOS},
                      _("Take one away before you add another."))


def _refuse_frozen(round: Round) -> None:
    """Refuse where the round takes no answers; the UPDATE holds its row where a transaction is open."""
    if not open_round(round).update(number=round.number):
        raise Refused(_("This round is handed in, so no photo can be added or taken away."),
                      _("Write to your tuner: they can ask for one more photo, and the page opens again."))
