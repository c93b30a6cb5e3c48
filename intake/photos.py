"""Photos: a fresh image from the pixels, or a clear word why not.

Whatever is uploaded is decoded by ``photo_child`` in a process with limits, and only the new JPEG it returns is kept.
So a place, a name or a script that travelled inside or behind the picture stays behind; a file that is something else
first and a picture second is refused.
"""
from __future__ import annotations

import subprocess
import sys
import uuid
from pathlib import Path

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

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
TAKE_ANOTHER = "Take the photo again with the phone's own camera, and send that one."
REFUSALS = {
    photo_child.NOT_A_PICTURE: ("This file is not a photo that we can read.",
                                "Send a JPEG, PNG, WebP or HEIC file, as a phone's camera makes them."),
    photo_child.TOO_MANY_PIXELS: ("This picture has more than 50 million pixels.",
                                  "Send it smaller: a phone's normal setting is plenty."),
    photo_child.BROKEN: ("This photo is damaged or cut short, perhaps on the way.", "Send it again. " + TAKE_ANOTHER),
}
TOO_MUCH = ("This picture takes more memory or time to open than a photo should.", TAKE_ANOTHER)


def add_photo(*, round: Round, place: str, upload: UploadedFile, caption: str = "", who: str = RIDER) -> Photo:
    """Keep a photo with a section or bench test of an open round.

    Raises ``Refused`` for a file that is too large, is no photo, is broken or takes too much to decode, for a page that
    does not exist, for a photo too many, and where the round no longer takes answers.
    """
    if place not in PLACES:
        raise Refused(f"The form has no page '{place[:80]}'.", "Open the page again and add the photo there.")
    _refuse_frozen(round)  # before the costly part; asked again below, holding the round
    fresh = fresh_jpeg(upload)
    with transaction.atomic():
        _refuse_frozen(round)
        if round.photos.count() >= MOST_PHOTOS:
            raise Refused(f"There are {MOST_PHOTOS} photos already.", "Take one away before you add another.")
        photo = Photo.objects.create(
            round=round, place=place, caption=" ".join(storable(caption).split())[:200],
            file=ContentFile(fresh, f"{uuid.uuid4().hex}.jpg"))
        record_event(case=round.case, who=who, what=PHOTO_ADDED, detail={"photo": photo.pk, "place": place})
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


def fresh_jpeg(upload: UploadedFile) -> bytes:
    """Return a new JPEG made from the upload's pixels, or raise ``Refused`` saying what is wrong with it."""
    if (upload.size or 0) > MOST_BYTES:
        raise Refused("This file is larger than 25 MB.", "Send the photo smaller: a phone's normal setting is plenty.")
    upload.seek(0)
    data = upload.read()
    if not data:
        raise Refused("This file is empty.", TAKE_ANOTHER)
    try:
        # -I: nothing from the surroundings is imported.  The limits are set by the child itself.
        child = subprocess.run(
            [sys.executable, "-I", str(Path(photo_child.__file__))], input=data, capture_output=True, timeout=SECONDS,
            env={}, check=False)
    except subprocess.TimeoutExpired:
        raise Refused(*TOO_MUCH) from None
    if child.returncode == 0 and child.stdout:
        return child.stdout
    raise Refused(*REFUSALS.get(child.returncode, TOO_MUCH))


def _refuse_frozen(round: Round) -> None:
    """Refuse where the round takes no answers; the UPDATE holds its row where a transaction is open."""
    if not open_round(round).update(number=round.number):
        raise Refused("This round is handed in, so no photo can be added or taken away.",
                      "Write to your tuner: they can ask for one more photo, and the page opens again.")
