"""What a rider sent is answered at once and made afresh by the worker; what is no photo says so and never vanishes."""
from __future__ import annotations

import io
import logging
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from intake import photo_making, photos, services
from intake.events import PHOTO_REFUSED
from intake.models import Photo, PhotoUpload
from intake.photo_files import file_of, made_file
from intake.photo_making import LEASE, MOST_ATTEMPTS, give_up_on_what_kills_workers, make_photo
from intake.photo_pieces import add_photo
from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db
BEING_MADE = "Received; it is being prepared."


@pytest.fixture
def rider() -> Rider:
    return Rider()


def jpeg(cut: int = 0) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((300, 200), 60).save(out, "JPEG")
    return out.getvalue()[:-cut or None]


def sent(rider: Rider, data: bytes | None = None) -> PhotoUpload:
    answer = rider.client.post(rider.url("bench-test", "travel"), {
        "photo": SimpleUploadedFile("tie.jpg", data or jpeg()), "caption": "the tie", "then": "photo",
        "photo_path": "bench.travel.used_mm"})
    assert answer.status_code == 302
    return PhotoUpload.objects.latest("pk")


def files(settings: Any) -> list[Path]:
    return [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]


def test_without_scripts_the_page_says_received_and_shows_the_picture_the_next_time(rider, settings):
    upload = sent(rider)
    page = rider.read("bench-test", "travel")
    assert BEING_MADE in words_of(page) and "the tie" in words_of(page) and "<img" not in page
    photo = make_photo(upload_id=upload.pk)
    page = rider.read("bench-test", "travel")
    assert rider.url("photo", photo.pk) in page and BEING_MADE not in words_of(page)
    assert [path.suffix for path in files(settings)] == [".jpg"]  # what came is gone


def test_what_was_sent_is_decoded_in_no_request(rider, monkeypatch):
    monkeypatch.setattr(photos.subprocess, "run", lambda *a, **k: pytest.fail("was decoded"))
    sent(rider)
    assert BEING_MADE in words_of(rider.read("bench-test", "travel"))


def test_a_second_bell_makes_no_second_photo(rider):
    upload = sent(rider)
    assert make_photo(upload_id=upload.pk) and make_photo(upload_id=upload.pk) is None
    assert make_photo(upload_id=0) is None and Photo.objects.count() == 1


def test_a_photo_that_another_worker_holds_is_left_alone_until_its_time_is_up(rider):
    upload = sent(rider)
    PhotoUpload.objects.update(claimed_by="another", claimed_until=timezone.now() + LEASE, attempts=1)
    assert make_photo(upload_id=upload.pk) is None
    PhotoUpload.objects.update(claimed_until=timezone.now() - timedelta(seconds=1))
    assert make_photo(upload_id=upload.pk)


def test_a_worker_that_comes_back_too_late_stores_nothing(rider, settings, monkeypatch):
    upload, real = sent(rider), photos.fresh_jpeg

    def slow(path: Path) -> bytes:
        PhotoUpload.objects.update(claimed_by="another")  # its lease ran out meanwhile
        return real(path)

    monkeypatch.setattr(photos, "fresh_jpeg", slow)
    assert make_photo(upload_id=upload.pk) is None and not Photo.objects.exists()
    assert files(settings) == [file_of(upload)]  # the other one still needs it


def test_a_photo_sent_before_the_hand_in_is_made_after_it(rider):
    upload = sent(rider)
    services.save_answers(round=rider.case.current_round, answers={"complaint.words": "Stops dead"})
    services.hand_in(round=rider.case.current_round, who="rider")
    assert make_photo(upload_id=upload.pk).round == rider.case.current_round


def refused(rider: Rider) -> PhotoUpload:
    upload = sent(rider, jpeg(cut=900))
    assert make_photo(upload_id=upload.pk) is None
    upload.refresh_from_db()
    return upload


def test_a_refused_photo_says_so_on_its_page_and_on_the_cases_with_send_again(rider, settings):
    refused(rider)
    page = words_of(rider.read("bench-test", "travel"))
    assert "the tie: This photo is damaged or cut short" in page and "Send again" in page
    case = words_of(rider.read("case-page"))
    assert "could not be used. This photo is damaged" in case and "Your tuner sees" not in case
    assert not files(settings) and rider.case.events.get(what=PHOTO_REFUSED).detail["path"] == "bench.travel.used_mm"


def test_after_the_hand_in_the_rider_reads_who_opens_the_page_again(rider):
    rider.complain()
    upload = sent(rider, jpeg(cut=900))
    services.hand_in(round=rider.case.current_round, who="rider")
    make_photo(upload_id=upload.pk)
    assert "Your tuner sees that too" in words_of(rider.read("case-page"))


def test_the_notice_stays_until_its_rider_takes_it_away(rider):
    upload = refused(rider)
    make_photo(upload_id=sent(rider).pk)
    assert "damaged" in words_of(rider.read("bench-test", "travel"))
    answer = rider.client.post(rider.url("photo-give-up", upload.token))
    assert answer.url.endswith("/bench/travel/#photos")
    assert "damaged" not in words_of(rider.read("bench-test", "travel"))


def test_a_photo_can_be_taken_away_while_it_is_being_made(rider, settings, monkeypatch):
    upload, real = sent(rider), photos.fresh_jpeg

    def meanwhile(path: Path) -> bytes:
        fresh = real(path)
        rider.client.post(rider.url("photo-give-up", upload.token))
        return fresh

    monkeypatch.setattr(photos, "fresh_jpeg", meanwhile)
    assert make_photo(upload_id=upload.pk) is None and not Photo.objects.exists() and not files(settings)


def test_nobody_else_gives_up_a_riders_photo(rider, tuner):
    upload, other = sent(rider), Rider()
    for client in (other.client, tuner.client):
        assert client.post(rider.url("photo-give-up", upload.token)).status_code == 404
    assert other.client.post(other.url("photo-give-up", upload.token)).status_code == 404


def test_what_comes_in_counts_among_the_most_and_what_is_refused_does_not(rider, monkeypatch):
    monkeypatch.setattr(photos, "MOST_PHOTOS", 2)
    refused(rider)
    for _ in range(2):
        sent(rider)
    with pytest.raises(photos.Refused, match="2 photos already"):
        add_photo(round=rider.case.current_round, place="travel", upload=ContentFile(jpeg(), "a.jpg"))


def test_what_kills_every_worker_is_given_up_with_a_word(rider):
    upload = sent(rider)
    PhotoUpload.objects.update(attempts=MOST_ATTEMPTS, claimed_until=timezone.now() - timedelta(seconds=1))
    assert make_photo(upload_id=upload.pk) is None
    give_up_on_what_kills_workers(10)
    assert "lost on our side" in words_of(rider.read("bench-test", "travel"))


def test_a_file_that_is_away_is_asked_for_again_later(rider):
    upload = sent(rider)
    away = file_of(upload).rename(file_of(upload).with_suffix(".away"))
    assert make_photo(upload_id=upload.pk) is None and not PhotoUpload.objects.get().refused_as
    away.rename(file_of(upload))
    PhotoUpload.objects.update(claimed_until=None)
    assert make_photo(upload_id=upload.pk)


def test_a_worker_without_the_folder_leaves_the_photo_to_one_that_has_it(rider, settings, tmp_path, caplog):
    upload = sent(rider)
    with caplog.at_level(logging.WARNING):
        settings.MEDIA_ROOT, here = tmp_path / "elsewhere", settings.MEDIA_ROOT
        assert make_photo(upload_id=upload.pk) is None and "MEDIA_ROOT" in caplog.text
    settings.MEDIA_ROOT = here
    assert PhotoUpload.objects.get().attempts == 0 and make_photo(upload_id=upload.pk)


def test_a_case_erased_meanwhile_leaves_neither_file_behind(rider, settings, django_capture_on_commit_callbacks):
    upload = sent(rider)
    made_file(upload).parent.mkdir(parents=True)
    made_file(upload).write_bytes(b"half made by a worker that was killed")
    with django_capture_on_commit_callbacks(execute=True):
        services.erase_case(case=rider.case, typed=rider.number)
    assert make_photo(upload_id=upload.pk) is None and not files(settings)


def test_a_photo_that_cannot_be_written_is_tried_again(rider, settings, monkeypatch):
    upload = sent(rider)

    def full(*args: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(photo_making, "_write_safely", full)
    for _ in range(MOST_ATTEMPTS + 2):  # however long the disk stays full
        with pytest.raises(OSError, match="No space"):
            make_photo(upload_id=upload.pk)
        PhotoUpload.objects.update(claimed_until=timezone.now() - timedelta(seconds=1))
        give_up_on_what_kills_workers(10)
    monkeypatch.undo()
    assert PhotoUpload.objects.get().photo is None
    PhotoUpload.objects.update(claimed_until=timezone.now() - timedelta(seconds=1))
    assert make_photo(upload_id=upload.pk)
