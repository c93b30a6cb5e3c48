"""What a picture's first bytes say: which kind of file it is, and how many pixels it claims to have.

Reads a few fixed places and nothing more, so that it can be done where a request waits; what is in the picture, only
``photo_child`` finds out.  Where the header leaves it open, nothing is said here.
"""
from __future__ import annotations

import struct
from typing import IO

from intake.photo_child import BROKEN, MOST_PIXELS, NOT_A_PICTURE, TOO_MANY_PIXELS

Size = tuple[int, int]
HEAD = 64 * 1024
MOST_SEGMENTS = 500
STILLS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1")
"""Kinds of HEIF file that hold photos (ISO/IEC 23008-12); a clip begins alike, with another kind."""
FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
"""Markers of a JPEG before which the picture's size stands (ITU-T T.81)."""


def look(file: IO[bytes]) -> int | None:
    """Return why this is surely no photo, as an exit status of ``photo_child``; None where it may be one."""
    file.seek(0)
    head = file.read(HEAD)
    if not head.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")) and not _is_webp(head) and not _is_heif(head):
        return NOT_A_PICTURE
    try:
        size = jpeg_size(file) if head.startswith(b"\xff\xd8") else _size(head)
    except (struct.error, IndexError):  # it ends before its own header does
        return BROKEN
    if size is None:
        return None
    return TOO_MANY_PIXELS if size[0] * size[1] > MOST_PIXELS else None if all(size) else BROKEN


def jpeg_size(file: IO[bytes]) -> Size | None:
    """Return a JPEG's width and height; None where they do not stand where they belong."""
    file.seek(2)
    for _ in range(MOST_SEGMENTS):
        mark, kind = struct.unpack("BB", file.read(2))
        if mark != 0xFF:
            return None
        if kind == 0xFF:  # one may be filled up with any number of these
            file.seek(-1, 1)
            continue
        (length,) = struct.unpack(">H", file.read(2))
        if kind in FRAMES:
            height, width = struct.unpack(">xHH", file.read(5))
            return width, height
        file.seek(length - 2, 1)
    return None


def _is_webp(head: bytes) -> bool:
    return head[:4] == b"RIFF" and head[8:12] == b"WEBP"


def _is_heif(head: bytes) -> bool:
    return head[4:8] == b"ftyp" and head[8:12] in STILLS


def _size(head: bytes) -> Size | None:
    if head.startswith(b"\x89PNG"):
        return struct.unpack(">II", head[16:24]) if head[12:16] == b"IHDR" else None
    return _webp_size(head) if _is_webp(head) else _heif_size(head)


def _webp_size(head: bytes) -> Size | None:
    """Return the size by each of the three ways to write it (RFC 9649)."""
    if head[12:16] == b"VP8 ":
        width, height = struct.unpack("<HH", head[26:30])
        return width & 0x3FFF, height & 0x3FFF
    if head[12:16] == b"VP8L":
        (bits,) = struct.unpack("<I", head[21:25])
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    if head[12:16] == b"VP8X":
        return int.from_bytes(head[24:27], "little") + 1, int.from_bytes(head[27:30], "little") + 1
    return None


def _heif_size(head: bytes) -> Size | None:
    """Return the largest of the sizes that are named: the others are tiles and previews."""
    found, at = [], head.find(b"ispe")
    while 0 <= at <= len(head) - 16:
        found.append(struct.unpack(">II", head[at + 8:at + 16]))
        at = head.find(b"ispe", at + 4)
    return max(found, key=lambda size: size[0] * size[1], default=None)
