"""Keeping only as much of an upload as can be of use."""
from __future__ import annotations

from django.core.files.uploadhandler import FileUploadHandler

from intake import photos


class CutOff(FileUploadHandler):
    """Lets what goes beyond the largest photo fall, so that nobody can fill the disk.

    What is kept is still too large, so the page refuses it by name, and the answers sent along with it are saved.
    """

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """Pass on a piece that begins within the limit, and drop every later one."""
        return raw_data if start <= photos.MOST_BYTES else None

    def file_complete(self, file_size: int) -> None:
        """Leave the file to the handlers behind this one."""
