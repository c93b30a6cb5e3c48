"""A photo is a fresh image from the pixels; everything else is refused with a word why."""
from __future__ import annotations

import io
import re
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

import pillow_heif
import pytest
from django.core.files.base import ContentFile
from PIL import Image, PngImagePlugin

from intake import photo_making, photos, services
from intake.errors import Refused
from intake.models import Photo, PhotoUpload, Round
from intake.photo_files import folder
from intake.photo_making import add_photo_at_once

pytestmark = pytest.mark.django_db


@pytest.fixture
def round(rider: Any) -> Round:
    return rider.case.current_round


@pytest.fixture
def refusal(round: Round) -> Callable[..., str]:
    def refused_with(data: bytes, name: str = "photo.jpg") -> str:
        """Send it, and return what is said at once or by the worker; nothing of it may be left."""
        with pytest.raises(Refused) as refused:
            add_photo_at_once(round=round, place="oil", upload=upload(data, name))
        assert refused.value.mend and not PhotoUpload.objects.exists() and not list(folder().glob("*"))
        return refused.value.problem
    return refused_with


def upload(data: bytes, name: str = "photo.jpg") -> ContentFile:
    return ContentFile(data, name)


def made_of(data: bytes) -> bytes:
    with NamedTemporaryFile() as file:
        file.write(data)
        file.flush()
        return photos.fresh_jpeg(Path(file.name))


def encoded(form: str, size: tuple[int, int] = (60, 40), **options: Any) -> bytes:
    out = io.BytesIO()
    picture = Image.new("RGB", size, "red")
    picture.paste("blue", (0, 0, size[0] // 2, size[1]))
    picture.save(out, form, **options)
    return out.getvalue()


def heic() -> bytes:
    pillow_heif.register_heif_opener()
    return encoded("HEIF")


def header_only_png(width: int, height: int) -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    row = zlib.compress(b"\0" * 1000)
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
            + chunk(b"IDAT", row) + chunk(b"IEND", b""))


@pytest.mark.parametrize("data", [encoded("JPEG"), encoded("PNG"), encoded("WEBP"), heic()],
                         ids=["JPEG", "PNG", "WebP", "HEIC"])
def test_what_phones_make_becomes_a_jpeg_with_the_same_picture(data):
    with Image.open(io.BytesIO(made_of(data))) as fresh:
        assert (fresh.format, fresh.size) == ("JPEG", (60, 40))
        red, _, blue = fresh.getpixel((10, 20))
        assert blue > 200 > 60 > red


def test_place_comment_and_whatever_stands_behind_the_picture_stay_behind():
    exif = Image.Exif()
    exif[0x010E] = "my home street"
    data = encoded("JPEG", exif=exif, comment=b"secret comment") + b"<script>alert(1)</script>PK\x03\x04"
    fresh = made_of(data)
    for left in (b"my home street", b"secret comment", b"<script>", b"Exif", b"PK\x03\x04"):
        assert left not in fresh and (left in data)


def test_text_inside_a_png_stays_behind():
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Comment", "secret comment")
    assert b"secret comment" not in made_of(encoded("PNG", pnginfo=notes))


def test_a_photo_taken_sideways_is_stored_upright():
    exif = Image.Exif()
    exif[0x0112] = 6
    with Image.open(io.BytesIO(made_of(encoded("JPEG", exif=exif)))) as fresh:
        assert fresh.size == (40, 60)


def test_a_large_photo_is_made_small_enough_for_a_page():
    with Image.open(io.BytesIO(made_of(encoded("JPEG", (6000, 4000))))) as fresh:
        assert fresh.size == (2000, 1333)


def test_more_than_fifty_million_pixels_are_refused_by_the_header_alone(refusal):
    data = header_only_png(8000, 6251)
    assert len(data) < 1000
    assert "50 million" in refusal(data)
    assert "50 million" in refusal(header_only_png(60_000, 60_000))
    assert "50 million" not in refusal(header_only_png(8000, 6250))


@pytest.mark.parametrize("data", [
    b"%PDF-1.7 not a picture", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"<html>" + encoded("JPEG"),
    b"PK\x03\x04" + encoded("PNG"), encoded("GIF"), encoded("TIFF"), b"\0" * 500], ids=[
    "pdf", "svg", "page with a picture behind", "archive with a picture behind", "gif", "tiff", "zeros"])
def test_what_is_no_photo_first_of_all_is_refused_whatever_its_name(refusal, data):
    assert "not a photo" in refusal(data)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photo_cut_short_is_refused_as_such(refusal, form):
    whole = encoded(form, (400, 300))
    assert "cut short" in refusal(whole[: len(whole) * 2 // 3])


def moving(form: str) -> bytes:
    out = io.BytesIO()
    first, second = (Image.new("RGB", (40, 30), colour) for colour in ("red", "blue"))
    first.save(out, form, save_all=True, append_images=[second], duration=100)
    return out.getvalue()


def two_exposures() -> bytes:
    out = io.BytesIO()
    first, second = (Image.new("RGB", (60, 40), colour) for colour in ("red", "blue"))
    first.save(out, "MPO", save_all=True, append_images=[second])
    return out.getvalue()


HEADERLESS_HEIC = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0" * 400
BAD_FILES = {
    "a film as PNG": (lambda: moving("PNG"), "moving picture"),
    "a film as WebP": (lambda: moving("WEBP"), "moving picture"),
    "a film as GIF": (lambda: moving("GIF"), "not a photo"),
    "nothing at all": (lambda: b"", "empty"),
    "one byte": (lambda: b"\xff", "not a photo"),
    "a JPEG's first bytes alone": (lambda: encoded("JPEG")[:20], "not a photo|cut short"),
    "a JPEG without its last third": (lambda: encoded("JPEG", (400, 300))[:-1500], "cut short"),
    "a HEIC with nothing in it": (lambda: HEADERLESS_HEIC, "not a photo|cut short"),
    "a HEIC cut short": (lambda: heic()[: len(heic()) // 2], "not a photo|cut short"),
    "a clip": (lambda: b"\0\0\0\x18ftypmp42\0\0\0\0isommp42" + b"\0" * 400, "not a photo|cut short"),
    "sixty thousand pixels square": (lambda: header_only_png(60_000, 60_000), "50 million"),
    "a strip one pixel high and endless": (lambda: header_only_png(50_000_001, 1), "50 million"),
    "a picture of no size": (lambda: header_only_png(0, 0), "not a photo|cut short"),
    "a program": (lambda: b"MZ" + b"\x90" * 500, "not a photo"),
    "a table": (lambda: b"time,travel\n0,12\n", "not a photo"),
    "a drawing": (lambda: b"%!PS-Adobe-3.0 EPSF-3.0\n", "not a photo"),
    "a page of text that calls itself one": (lambda: b"GIF89a<script>alert(1)</script>", "not a photo"),
}


@pytest.mark.parametrize("what", BAD_FILES)
@pytest.mark.parametrize("name", ["photo.jpg", "photo.heic", "photo.exe", ""])
def test_a_bad_file_is_refused_with_a_clear_word_whatever_it_calls_itself(refusal, what, name):
    make, word = BAD_FILES[what]
    assert re.search(word, refusal(make(), name))


def test_a_photo_with_a_second_exposure_is_a_photo_and_the_first_is_kept():
    with Image.open(io.BytesIO(made_of(two_exposures()))) as fresh:
        assert fresh.getpixel((30, 20))[0] > 200


def test_a_name_that_does_not_fit_harms_no_good_photo(round):
    assert add_photo_at_once(round=round, place="oil", upload=upload(encoded("PNG"), "travel.csv")).width == 60


def test_fifty_million_grey_pixels_in_a_few_bytes_are_read_and_made_small():
    packed = encoded("PNG", (7000, 7000))
    assert len(packed) < 400_000
    with Image.open(io.BytesIO(made_of(packed))) as fresh:
        assert fresh.size == (2000, 2000)


def test_a_program_that_does_not_come_to_its_turn_is_told_to_send_again(round):
    sends = {"round": round, "place": "oil", "upload": upload(encoded("JPEG")), "patience": 0.01}
    with photo_making.TURNS, pytest.raises(photo_making.Busy, match="Many photos"):
        add_photo_at_once(**sends)
    assert not PhotoUpload.objects.exists() and add_photo_at_once(**sends)


def test_a_photo_can_belong_to_one_question(round):
    path = "bench.travel.used_mm"
    photo = add_photo_at_once(round=round, place="travel", path=path, upload=upload(encoded("JPEG")))
    assert photo.path == path
    with pytest.raises(Refused, match="no question"):
        add_photo_at_once(round=round, place="travel", path="bench.travel.no_such", upload=upload(encoded("JPEG")))


def test_an_empty_file_and_a_huge_one_are_refused_before_any_decoding(refusal, monkeypatch):
    monkeypatch.setattr(photos.subprocess, "run", lambda *a, **k: pytest.fail("was decoded"))
    assert "empty" in refusal(b"")
    assert "25 MB" in refusal(b"x" * (photos.MOST_BYTES + 1))


def test_a_decoder_that_takes_too_long_is_ended(refusal, monkeypatch, tmp_path):
    endless = tmp_path / "endless.py"
    endless.write_text("while True: pass")
    monkeypatch.setattr(photos.photo_child, "__file__", str(endless))
    monkeypatch.setattr(photos, "SECONDS", 0.3)
    assert "memory or time" in refusal(encoded("JPEG"))


def test_a_decoder_that_takes_too_much_memory_is_ended(refusal, monkeypatch, tmp_path):
    small = tmp_path / "small.py"
    source = Path(photos.photo_child.__file__).read_text()
    small.write_text(source.replace("MEMORY = 1_200 * 1024 * 1024", "MEMORY = 64 * 1024 * 1024"))
    monkeypatch.setattr(photos.photo_child, "__file__", str(small))
    assert "memory or time" in refusal(encoded("PNG", (6000, 6000)))


def test_a_photo_is_kept_with_its_page_under_a_name_of_our_own(round):
    photo = add_photo_at_once(round=round, place="oil", upload=upload(encoded("JPEG"), "../../etc/passwd.html"))
    assert (photo.place, photo.width, photo.height) == ("oil", 60, 40)
    assert photo.file.name.endswith(".jpg") and "passwd" not in photo.file.name


def test_a_photo_can_be_taken_away_with_its_file(round, django_capture_on_commit_callbacks):
    photo = add_photo_at_once(round=round, place="oil", upload=upload(encoded("JPEG")))
    with django_capture_on_commit_callbacks(execute=True):
        photos.remove_photo(photo=photo)
    assert not Photo.objects.exists() and not photo.file.storage.exists(photo.file.name)


def test_no_photo_comes_to_a_handed_in_round_a_strange_page_or_beyond_the_most(round, monkeypatch):
    with pytest.raises(Refused, match="no page"):
        add_photo_at_once(round=round, place="../oil", upload=upload(encoded("JPEG")))
    monkeypatch.setattr(photos, "MOST_PHOTOS", 1)
    kept = add_photo_at_once(round=round, place="oil", upload=upload(encoded("JPEG")))
    with pytest.raises(Refused, match="1 photos already"):
        add_photo_at_once(round=round, place="oil", upload=upload(encoded("JPEG")))
    services.save_answers(round=round, answers={"complaint.words": "Stops dead"})
    services.hand_in(round=round, who="rider")
    with pytest.raises(Refused, match="handed in"):
        add_photo_at_once(round=round, place="oil", upload=upload(encoded("JPEG")))
    with pytest.raises(Refused, match="handed in"):
        photos.remove_photo(photo=kept)
