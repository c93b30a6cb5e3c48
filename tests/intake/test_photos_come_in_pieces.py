"""A photo sent piece by piece: cut off, gone on with, sent twice, given up, swept away; whoever asks is its rider."""
from __future__ import annotations

import io
import os
import time
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from intake import photo_pieces, photos, services
from intake.events import PHOTO_ADDED
from intake.models import Photo, PhotoUpload
from intake.photo_files import file_of, made_file
from intake.photo_making import make_photo, waiting_uploads
from intake.photo_pieces import WrongOffset

pytestmark = pytest.mark.django_db


def picture() -> bytes:
    out = io.BytesIO()
    Image.effect_noise((200, 150), 60).save(out, "JPEG")
    return out.getvalue()


DATA = picture()


def made() -> Photo:
    """Do what the worker does with all that waits, and return the one photo."""
    for upload in waiting_uploads():
        make_photo(upload_id=upload.pk)
    return Photo.objects.get()


def begin(rider: Any, size: int = len(DATA), **said: str) -> Any:
    return rider.client.post(reverse("photo-begin", args=[rider.case.number]), {"place": "travel"} | said,
                             headers={"Upload-Length": str(size), "Upload-Complete": "?0"})


def piece(rider: Any, at: str, offset: int, data: bytes) -> Any:
    headers = {"Upload-Offset": str(offset)}
    return rider.client.patch(at, data, content_type="application/partial-upload", headers=headers)


def offset(rider: Any, at: str) -> int:
    return int(rider.client.head(at)["Upload-Offset"])


def left_alone_for(hours: float, upload: PhotoUpload) -> None:
    """Let it be that long since anything came."""
    PhotoUpload.objects.filter(pk=upload.pk).update(touched_at=timezone.now() - timedelta(hours=hours))
    then = time.time() - hours * 3600
    os.utime(file_of(upload), (then, then))


def test_a_photo_of_another_round_is_not_taken_for_this_one(rider):
    answer = begin(rider, round="2")
    assert answer.status_code == 422 and "another round" in answer.json()["problem"]
    assert not PhotoUpload.objects.exists()
    assert begin(rider, round="1").status_code == begin(rider).status_code == 201


def test_what_was_cut_off_is_gone_on_with_from_where_it_stopped(rider):
    at = begin(rider, path="bench.travel.used_mm", caption="left tube")["Location"]
    assert piece(rider, at, 0, DATA[:1000]).status_code == 204 and offset(rider, at) == 1000
    answer = piece(rider, at, 1000, DATA[1000:])
    assert answer.status_code == 200 and answer["Upload-Complete"] == "?1"
    assert answer.json() == {"state": "being made", "caption": "left tube"} and not Photo.objects.exists()
    photo = made()
    assert (photo.place, photo.path, photo.caption, photo.width) == ("travel", "bench.travel.used_mm", "left tube", 200)
    assert rider.client.get(at).json() == {
        "state": "made", "photo": reverse("photo", args=[rider.case.number, photo.pk]), "caption": "left tube",
        "width": 200, "height": 150}


class LostSignal(io.BytesIO):
    """Brings a little, then breaks, as a request does when the phone is gone."""

    def read(self, size: int | None = -1) -> bytes:
        found = super().read(400)
        if not found:
            raise OSError("the phone is gone")
        return found


def test_what_came_before_the_signal_was_lost_counts(rider):
    begin(rider)
    upload = PhotoUpload.objects.get()
    assert photo_pieces.add_piece(upload=upload, offset=0, stream=LostSignal(DATA[:900])) == 900
    assert photo_pieces.add_piece(upload=upload, offset=900, stream=io.BytesIO(DATA[900:])) == len(DATA)
    photo_pieces.finish_upload(upload=upload)
    assert made().width == 200


def test_a_piece_from_elsewhere_is_told_where_to_go_on(rider):
    at = begin(rider)["Location"]
    piece(rider, at, 0, DATA[:1000])
    for wrong in (0, 999, 1001):
        answer = piece(rider, at, wrong, DATA[wrong:])
        assert answer.status_code == 409 and answer.json()["expected-offset"] == 1000
        assert answer["Upload-Offset"] == "1000"
    assert not Photo.objects.exists()


def test_the_last_piece_sent_twice_makes_one_photo(rider):
    at = begin(rider)["Location"]
    first, again = (piece(rider, at, 0, DATA).json() for _ in range(2))
    assert first == again and waiting_uploads().count() == 1 and rider.case.events.filter(what=PHOTO_ADDED).count() == 1
    assert made() and piece(rider, at, 0, DATA).json()["state"] == "made" and Photo.objects.count() == 1
    head = rider.client.head(at)
    assert (head["Upload-Complete"], head["Upload-Offset"]) == ("?1", str(len(DATA)))


def test_a_whole_photo_whose_answer_was_lost_is_finished_by_an_empty_piece(rider, monkeypatch):
    at = begin(rider)["Location"]
    monkeypatch.setattr(photo_pieces, "finish_upload", lambda upload: (_ for _ in ()).throw(WrongOffset(len(DATA))))
    assert piece(rider, at, 0, DATA).status_code == 409 and not waiting_uploads()  # its process ended here
    monkeypatch.undo()
    assert piece(rider, at, len(DATA), b"").status_code == 200 and made().width == 200


@pytest.mark.parametrize("size, word", [(0, "empty"), (photos.MOST_BYTES + 1, "25 MB")])
def test_a_size_that_no_photo_has_is_refused_at_the_start(rider, size, word):
    answer = begin(rider, size)
    assert answer.status_code == 422 and word in answer.json()["problem"] and answer.json()["mend"]
    assert not PhotoUpload.objects.exists()


def test_more_than_was_said_is_refused_and_nothing_beyond_is_written(rider, settings):
    at = begin(rider, 500)["Location"]
    assert piece(rider, at, 0, DATA + b"x" * 1_000_000).status_code == 422
    file = next(Path(settings.MEDIA_ROOT, "half-sent").iterdir())
    assert file.stat().st_size <= 500 + photo_pieces.PIECE


def test_a_file_that_is_no_photo_is_refused_when_it_is_whole_and_leaves_nothing(rider, settings):
    at = begin(rider, 9)["Location"]
    answer = piece(rider, at, 0, b"not a jpg")
    assert answer.status_code == 422 and "not a photo" in answer.json()["problem"]
    assert not PhotoUpload.objects.exists() and not list(Path(settings.MEDIA_ROOT, "half-sent").iterdir())


@pytest.mark.parametrize("said, word", [({"place": "no such"}, "no page"), ({"path": "no.such"}, "no question")])
def test_a_page_or_question_that_there_is_not_is_refused_at_the_start(rider, said, word):
    answer = begin(rider, **said)
    assert answer.status_code == 422 and word in answer.json()["problem"]


def test_a_piece_without_its_place_is_a_mistake_in_words(rider):
    at = begin(rider)["Location"]
    for headers in ({}, {"Upload-Offset": "-1"}, {"Upload-Offset": "1e3"}):
        answer = rider.client.patch(at, DATA, content_type="application/partial-upload", headers=headers)
        assert answer.status_code == 400 and "Upload-Offset" in answer.json()["problem"]


def test_nobody_else_sees_adds_to_or_drops_an_upload(rider, other_rider, stranger):
    at = begin(rider)["Location"]
    theirs = at.replace(rider.case.number, other_rider.case.number)
    for who, address in ((other_rider, at), (stranger, at), (other_rider, theirs)):
        assert who.client.head(address).status_code == 404
        assert piece(who, address, 0, DATA).status_code == 404
        assert who.client.delete(address).status_code == 404
    assert offset(rider, at) == 0


def test_an_upload_can_be_given_up(rider, settings):
    at = begin(rider)["Location"]
    assert rider.client.delete(at).status_code == 204 and rider.client.head(at).status_code == 404
    assert not list(Path(settings.MEDIA_ROOT, "half-sent").iterdir())


def test_nothing_is_begun_for_a_round_that_is_handed_in(rider):
    services.save_answers(round=rider.case.current_round, answers={"complaint.words": "Stops dead"})
    services.hand_in(round=rider.case.current_round, who="rider")
    assert "handed in" in begin(rider).json()["problem"]


def test_half_sent_photos_cannot_fill_the_disk(rider, monkeypatch):
    monkeypatch.setattr(photo_pieces, "MOST_UNFINISHED", 2)
    assert [begin(rider).status_code for _ in range(3)] == [201, 201, 422]


def test_what_came_whole_or_was_refused_is_never_swept_away(rider, settings):
    piece(rider, begin(rider)["Location"], 0, DATA)
    at = begin(rider, 4000)["Location"]
    piece(rider, at, 0, DATA[:4000])
    make_photo(upload_id=PhotoUpload.objects.get(size=4000).pk)
    assert rider.client.get(at).json()["state"] == "refused"
    PhotoUpload.objects.update(touched_at=timezone.now() - timedelta(days=60))
    assert photo_pieces.sweep_uploads() == 0 and PhotoUpload.objects.count() == 2
    assert len(list(Path(settings.MEDIA_ROOT, "half-sent").iterdir())) == 1  # what waits; what was refused is gone
    assert rider.client.delete(at).status_code == 204 and PhotoUpload.objects.count() == 1


def test_what_nobody_goes_on_with_is_swept_after_a_day_and_what_is_fresh_stays(rider, settings):
    old, fresh = (begin(rider)["Location"] for _ in range(2))
    half_sent = Path(settings.MEDIA_ROOT, "half-sent")
    orphan = half_sent / "nobodys.part"
    orphan.write_bytes(b"x")
    a_day = time.time() - 25 * 3600
    os.utime(orphan, (a_day, a_day))
    left_alone_for(25, PhotoUpload.objects.get(token=old.rstrip("/").split("/")[-1]))
    assert photo_pieces.sweep_uploads() == 1
    assert rider.client.head(old).status_code == 404 and rider.client.head(fresh).status_code == 204
    assert [file.stem for file in half_sent.iterdir()] == [fresh.rstrip("/").split("/")[-1]]


def test_a_phone_that_heard_nothing_of_its_photo_for_days_is_told_and_does_not_send_it_again(rider):
    at = begin(rider)["Location"]
    piece(rider, at, 0, DATA)
    made()
    for days, swept in ((59, 0), (61, 1)):
        PhotoUpload.objects.update(touched_at=timezone.now() - timedelta(days=days))
        assert photo_pieces.sweep_uploads() == swept
        assert rider.client.head(at).status_code == (404 if swept else 204)
    assert Photo.objects.count() == 1


def test_a_full_disk_is_told_as_a_fault_so_that_the_phone_waits_with_the_rest(rider, monkeypatch):
    at = begin(rider)["Location"]
    piece(rider, at, 0, DATA[:1000])
    monkeypatch.setattr(photo_pieces, "file_of", lambda upload: Path("/dev/full"))  # the kernel's own full disk
    rider.client.raise_request_exception = False
    assert piece(rider, at, 1000, DATA[1000:]).status_code == 500
    monkeypatch.undo()
    assert offset(rider, at) == 1000 and piece(rider, at, 1000, DATA[1000:]).status_code == 200
    assert made().width == 200


def test_a_half_sent_photo_goes_with_its_case(rider, settings, django_capture_on_commit_callbacks):
    piece(rider, begin(rider)["Location"], 0, DATA[:1000])
    with django_capture_on_commit_callbacks(execute=True):
        services.erase_case(case=rider.case, typed=rider.case.number)
    assert not list(Path(settings.MEDIA_ROOT, "half-sent").iterdir())


def test_a_sweep_without_a_folder_and_two_at_once_are_no_matter(rider, settings, monkeypatch):
    assert photo_pieces.sweep_uploads() == 0 and not Path(settings.MEDIA_ROOT).exists()
    begin(rider)
    left_alone_for(25, PhotoUpload.objects.get())
    half_sent = Path(settings.MEDIA_ROOT, "half-sent")
    (half_sent / "nobodys.part").touch()
    gone = [*half_sent.iterdir(), half_sent / "taken.part"]
    monkeypatch.setattr(Path, "glob", lambda self, pattern: iter(gone))  # what another sweep takes away meanwhile
    assert photo_pieces.sweep_uploads() == 1 and photo_pieces.sweep_uploads() == 0


def test_a_photo_that_its_phone_goes_on_with_is_not_swept_however_long_ago_it_was_begun(rider):
    at = begin(rider)["Location"]
    piece(rider, at, 0, DATA[:1000])
    left_alone_for(25, PhotoUpload.objects.get())
    piece(rider, at, 1000, DATA[1000:2000])
    assert photo_pieces.sweep_uploads() == 0 and offset(rider, at) == 2000


def test_a_photo_that_came_whole_at_that_moment_is_not_swept(rider, monkeypatch):
    piece(rider, begin(rider)["Location"], 0, DATA[:1000])
    left_alone_for(25, PhotoUpload.objects.get())
    monkeypatch.setattr(photo_pieces, "_has_grown",
                        lambda upload, since: PhotoUpload.objects.update(whole_since=timezone.now()) < 0)
    assert photo_pieces.sweep_uploads() == 0 and waiting_uploads().count() == 1


def test_a_piece_waits_for_no_write_to_the_database(rider):
    """Each such write waits for the disk and for all others: with fifty photos at once that was most of the time."""
    at = begin(rider)["Location"]
    with CaptureQueriesContext(connection) as asked:
        assert piece(rider, at, 0, DATA[:1000]).status_code == 204
    assert [one["sql"] for one in asked if not one["sql"].startswith("SELECT")] == []


def test_whoever_begins_holds_up_nobody(rider):
    """One short write and nothing around it: what is asked within a transaction keeps all other writers waiting."""
    with CaptureQueriesContext(connection) as asked:
        begin(rider)
    writes = [one["sql"].split()[0] for one in asked if not one["sql"].startswith("SELECT")]
    assert writes == ["INSERT"]


@pytest.mark.parametrize("made_meanwhile", [False, True])
def test_a_last_piece_sent_twice_at_once_loses_nothing_of_the_one_that_was_quicker(rider, monkeypatch, made_meanwhile):
    monkeypatch.setattr(photos, "MOST_PHOTOS", 1)
    at = begin(rider)["Location"]
    piece(rider, at, 0, DATA[:1000])
    late = PhotoUpload.objects.get()  # as the slower request read it: not whole yet
    assert piece(rider, at, 1000, DATA[1000:]).status_code == 200
    if made_meanwhile:
        made()
    assert photo_pieces.finish_upload(upload=late).is_whole
    assert PhotoUpload.objects.count() == 1 and made().width == 200


def test_what_a_killed_worker_had_written_goes_with_what_is_given_up_and_a_photo_stays(rider):
    for killed in (True, False):
        piece(rider, begin(rider)["Location"], 0, DATA)
        upload = PhotoUpload.objects.get()
        file = made_file(upload)
        if killed:
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(b"written, and killed before the row said so")
        else:
            made()
        photo_pieces.drop_upload(upload=upload)
        assert file.exists() is not killed and not PhotoUpload.objects.exists()
