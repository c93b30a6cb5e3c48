"""Where the bytes of photos lie.  Each name follows from the upload's row: what was cut off half way is found."""
from __future__ import annotations

import os
from pathlib import Path

from django.conf import settings

from intake.models import PhotoUpload


def folder() -> Path:
    """Return where the bytes of photos lie that are on their way; it is nobody's to look into."""
    return Path(settings.MEDIA_ROOT) / "half-sent"


def file_of(upload: PhotoUpload) -> Path:
    """Return where the bytes lie until they are a photo."""
    return folder() / f"{upload.token}.part"


def bytes_here(upload: PhotoUpload) -> int:
    """Return how many bytes of it are here, without a gap; whoever sends asks for it and goes on from there.

    The file itself knows, so that a piece costs no write to the database: with many photos at once each such write
    waits for all the others.  It is opened for that, since a shared folder may know an older length by name.
    """
    if upload.is_whole:
        return upload.size
    try:
        with open(file_of(upload), "rb") as file:
            return os.fstat(file.fileno()).st_size
    except FileNotFoundError:
        return 0


def name_of(upload: PhotoUpload) -> str:
    """Return the name of the photo that an upload becomes; the same at every attempt."""
    return f"photos/{upload.whole_since or upload.touched_at:%Y/%m}/{upload.token}.jpg"


def made_file(upload: PhotoUpload) -> Path:
    """Return where that photo lies."""
    return Path(settings.MEDIA_ROOT) / name_of(upload)
