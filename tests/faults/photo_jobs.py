"""What the fault tests do with photos, in processes that can be killed at any step."""
from __future__ import annotations

import io
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from django.core.files.base import ContentFile
from PIL import Image

from intake import photo_making, photo_pieces, photos, services
from intake.models import Case, Photo, PhotoUpload
from intake.photo_making import make_photo
from intake.photo_pieces import add_photo, begin_upload, finish_upload


def picture() -> bytes:
    out = io.BytesIO()
    Image.effect_noise((300, 200), 60).save(out, "JPEG")
    return out.getvalue()


def receive(talk: Connection) -> None:
    """Take in one photo and name its upload."""
    round = services.start_case(rider_name="Rider").current_round
    talk.send(add_photo(round=round, place="travel", upload=ContentFile(picture(), "tie.jpg")).pk)


def send_but_do_not_finish(talk: Connection) -> None:
    """Bring all bytes of a photo and end before anybody has put it down as received."""
    data, round = picture(), services.start_case(rider_name="Rider").current_round
    upload = begin_upload(round=round, place="travel", size=len(data))
    photo_pieces.add_piece(upload=upload, offset=0, stream=io.BytesIO(data))
    talk.send(upload.pk)


def finish(talk: Connection, upload: int) -> None:
    talk.send(finish_upload(upload=PhotoUpload.objects.get(pk=upload)).whole_since is not None)


def make(talk: Connection, upload: int) -> None:
    """Make it, and say whether it was us who did."""
    talk.send(make_photo(upload_id=upload) is not None)


def erase(talk: Connection) -> None:
    case = Case.objects.get()
    services.erase_case(case=case, typed=case.number)


def stalled(holder: Any, name: str, job: Callable[..., None], after: bool = False) -> Callable[..., None]:
    """Return a job that stays at one step, before or ``after`` it, until it is killed."""

    def run(talk: Connection, *args: Any) -> None:
        real = getattr(holder, name)

        def stall(*inner: Any, **named: Any) -> None:
            if after:
                real(*inner, **named)
            talk.send("stalled")
            time.sleep(600)

        setattr(holder, name, stall)
        job(talk, *args)

    return run


PHOTO_JOBS: dict[str, Callable[..., None]] = {
    "receive a photo": receive, "send a photo": send_but_do_not_finish, "finish a photo": finish, "make a photo": make,
    "erase the case": erase,
    "receive and stall before it is put down": stalled(photo_pieces, "_came", receive),
    "receive and stall before the commit": stalled(photo_pieces, "record_event", receive, after=True),
    "make and stall decoding": stalled(photos, "_decoded", make),
    "make and stall writing": stalled(photo_making, "_write_safely", make, after=True),
    "make and stall before the commit": stalled(Photo.objects, "create", make, after=True),
    "make and stall before the bytes go": stalled(photo_making.Path, "unlink", make),
}
