"""A picture's kind and size are read off its first bytes, without opening it."""
from __future__ import annotations

import io
import struct
from typing import Any

import pillow_heif
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from pillow_heif.as_plugin import _is_supported_heif

from intake.photo_child import BROKEN, NOT_A_PICTURE, TOO_MANY_PIXELS
from intake.photo_header import STILLS, jpeg_size, look

pillow_heif.register_heif_opener()


def encoded(form: str, size: tuple[int, int] = (61, 47), **options: Any) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, "grey").save(out, form, **options)
    return out.getvalue()


def why(data: bytes) -> int | None:
    return look(io.BytesIO(data))


def with_size(data: bytes, mark: bytes, behind: int, form: str, *values: int) -> bytes:
    at = data.index(mark) + behind
    packed = struct.pack(form, *values)
    return data[:at] + packed + data[at + len(packed):]


GOOD = {"JPEG": encoded("JPEG"), "progressive JPEG": encoded("JPEG", progressive=True), "PNG": encoded("PNG"),
        "WebP": encoded("WEBP"), "lossless WebP": encoded("WEBP", lossless=True),
        "WebP with a profile": encoded("WEBP", exif=b"Exif\0\0II*\0\x08\0\0\0\0\0\0\0\0\0"), "HEIC": encoded("HEIF"),
        "JPEG with a long start": encoded("JPEG", exif=b"Exif\0\0" + b"x" * 60_000, comment=b"y" * 60_000)}
HUGE = {
    "JPEG": with_size(GOOD["JPEG"], b"\xff\xc0", 5, ">HH", 8000, 6251),
    "PNG": with_size(GOOD["PNG"], b"IHDR", 4, ">II", 8000, 6251),
    "WebP": with_size(GOOD["WebP"], b"\x9d\x01\x2a", 3, "<HH", 8000, 6251),
    "lossless WebP": with_size(GOOD["lossless WebP"], b"VP8L", 9, "<I", 7999 | 6250 << 14),
    "WebP with a profile": with_size(GOOD["WebP with a profile"], b"VP8X", 12, "<I", 7999 | (6250 & 0xFF) << 24)[:29]
    + bytes([6250 >> 8, 0]) + GOOD["WebP with a profile"][31:],
    "HEIC": with_size(GOOD["HEIC"], b"ispe", 8, ">II", 8000, 6251),
}


@pytest.mark.parametrize("what", GOOD)
def test_a_photo_may_be_one(what):
    assert why(GOOD[what]) is None


@pytest.mark.parametrize("what", HUGE)
def test_more_than_fifty_million_pixels_are_seen_in_every_format(what):
    assert why(HUGE[what]) == TOO_MANY_PIXELS


@pytest.mark.parametrize("what", ["JPEG", "progressive JPEG", "JPEG with a long start"])
def test_a_jpegs_size_is_found_behind_whatever_comes_first(what):
    assert jpeg_size(io.BytesIO(GOOD[what])) == (61, 47)


def test_a_jpeg_without_end_of_small_parts_is_left_to_the_decoder():
    assert why(b"\xff\xd8" + b"\xff\xfe\x00\x02" * 2_000_000) is None


@pytest.mark.parametrize("data, found", [
    (b"", NOT_A_PICTURE), (b"<html>" + GOOD["JPEG"], NOT_A_PICTURE),
    (b"\0\0\0\x18ftypmp42" + b"\0" * 400, NOT_A_PICTURE),
    (b"\0\0\0\x14ftypqt  " + b"\0" * 400, NOT_A_PICTURE), (encoded("GIF"), NOT_A_PICTURE), (GOOD["JPEG"][:30], BROKEN),
    (GOOD["PNG"][:18], BROKEN), (with_size(GOOD["PNG"], b"IHDR", 4, ">II", 0, 7), BROKEN)])
def test_what_is_none_is_told_apart_from_what_is_cut_short(data, found):
    assert why(data) == found


def test_the_kinds_of_heic_are_those_that_the_decoder_opens():
    assert [kind for kind in STILLS if not _is_supported_heif(b"\0\0\0\x18ftyp" + kind)] == []


@given(st.sampled_from([b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\0\0\0\0WEBPVP8X", b"RIFF\0\0\0\0WEBPVP8 ",
                        b"RIFF\0\0\0\0WEBPVP8L", b"\0\0\0\x18ftypheic\0\0ispe"]), st.binary(max_size=200))
def test_no_bytes_whatsoever_upset_it(start, rest):
    assert why(start + rest) in (None, NOT_A_PICTURE, BROKEN, TOO_MANY_PIXELS)
