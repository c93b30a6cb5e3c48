"""Photos: a fresh image from the pixels, or a clear word why not.

Whatever is sent is decoded by ``photo_child`` in a process with limits, and only the new JPEG it returns is kept.
So a place, a name or a script that travelled inside or behind the picture stays behind; a file that is something else
first and a picture second is refused.
"""
from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import IO

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from analysis.catalogue import QUESTIONS
from intake import photo_child, photo_header
from intake.errors import Refused
from intake.events import RIDER, record_event
from intake.models import Photo, PhotoUpload, Round
from intake.services.rounds import PLACES
from intake.states import open_round

MOST_BYTES = 25 * 1024 * 1024
MOST_PHOTOS = 30
SECONDS = 60
"""By the clock; a decoder that computes is ended sooner, by its own limit."""
GIVEN_UP = 30
"""Beside the exit statuses of ``photo_child``: the file is gone, or worker after worker was stopped over it."""
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
    photo_child.TOO_MUCH: (gettext_lazy("This picture takes more memory or time to open than a photo should."),
                           TAKE_ANOTHER),
    GIVEN_UP: (gettext_lazy("This photo was lost on our side. That is not your doing."),
               gettext_lazy("Send it again.")),
}


class NoPhoto(Refused):
    """The file can never be a photo; ``why`` is a key of ``REFUSALS``."""

    def __init__(self, why: int) -> None:
        self.why = why if why in REFUSALS else photo_child.TOO_MUCH
        super().__init__(*map(str, REFUSALS[self.why]))


def remove_photo(*, photo: Photo, who: str = RIDER) -> None:
    """Take a photo away from an open round; its file goes after the commit."""
    with transaction.atomic():
        refuse_frozen(photo.round)
        file = photo.file
        record_event(case=photo.round.case, who=who, what="Photo removed.",
                     detail={"photo": photo.pk, "place": photo.place})
        photo.delete()
        transaction.on_commit(lambda: file.storage.delete(file.name), robust=True)


def fresh_jpeg(path: Path) -> bytes:
    """Return a new JPEG made from the pixels of the file at ``path``, or raise ``NoPhoto`` saying what is wrong."""
    with open(path, "rb") as file:
        refuse_looks(file)
        file.seek(0)
        return _decoded(file)


def refuse_looks(file: IO[bytes]) -> None:
    """Refuse what its first bytes show to be no photo; this costs next to nothing."""
    why = photo_header.look(file)
    if why is not None:
        raise NoPhoto(why)


def refuse_size(size: int) -> None:
    """Refuse a file of a size that no photo has."""
    if size > MOST_BYTES:
        raise Refused(_("This file is larger than 25 MB."), str(SMALLER))
    if size < 1:
        raise Refused(_("This file is empty."), str(TAKE_ANOTHER))


def refuse_place(round: Round, place: str, path: str) -> None:
    """Refuse a photo for a page or question that there is not, and for a round that takes no more.

    Nothing is held for it: whether the round still takes it counts once it has come, and is asked again then.
    """
    if place not in PLACES:
        raise Refused(_("The form has no page '%(place)s'.") % {"place": place[:80]},
                      _("Open the page again and add the photo there."))
    if path and path not in QUESTIONS:
        raise Refused(_("There is no question '%(path)s'.") % {"path": path[:80]},
                      _("Open the page again and add the photo there."))
    if not open_round(round).exists():
        raise _frozen()
    refuse_too_many(round)


def refuse_too_many(round: Round) -> None:
    """Refuse one more photo where a round has as many as fit, those counted that are still being made."""
    if round.photos.count() + being_made(round).count() >= MOST_PHOTOS:
        raise Refused(_("There are %(most)s photos already.") % {"most": MOST_PHOTOS},
                      _("Take one away before you add another."))


def being_made(round: Round) -> QuerySet[PhotoUpload]:
    """Return what has come whole and is no photo yet."""
    return round.photo_uploads.filter(whole_since__isnull=False, photo=None, refused_as=None)


def refuse_frozen(round: Round) -> None:
    """Refuse where the round takes no answers; the UPDATE holds its row where a transaction is open."""
    if not open_round(round).update(number=round.number):
        raise _frozen()


def _frozen() -> Refused:
    return Refused(_("This round is handed in, so no photo can be added or taken away."),
                   _("Write to your tuner: they can ask for one more photo, and the page opens again."))


def _decoded(file: IO[bytes]) -> bytes:
    try:
        # -I: nothing from the surroundings is imported.  The limits are set by the child itself.
        child = subprocess.run(
            [sys.executable, "-I", str(Path(photo_child.__file__))], stdin=file, capture_output=True,
            timeout=SECONDS, env={}, check=False)
    except subprocess.TimeoutExpired:
        raise NoPhoto(photo_child.TOO_MUCH) from None
    if child.returncode == 0 and child.stdout:
        return child.stdout
    raise NoPhoto(child.returncode)
