"""What is said of photos that are not there yet: being made, or why they cannot be used."""
from __future__ import annotations

from dataclasses import dataclass

from intake.models import PhotoUpload, Round
from intake.photos import NoPhoto


@dataclass(frozen=True)
class ToCome:
    """A photo that came whole and is none yet; ``refused`` says in the reader's language why it never will be."""

    upload: PhotoUpload
    refused: NoPhoto | None


def photos_to_come(round: Round, place: str = "") -> list[ToCome]:
    """Return a round's photos that are being made or could not be used, those of one page or all."""
    uploads = round.photo_uploads.filter(whole_since__isnull=False, photo=None).order_by("id")
    return [ToCome(upload, None if upload.refused_as is None else NoPhoto(upload.refused_as))
            for upload in uploads if place in ("", upload.place)]
