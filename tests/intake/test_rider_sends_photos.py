"""A photo belongs to a page of the form; only its rider and the tuners can see it."""
from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from intake import photos
from intake.models import Photo
from intake.photo_making import make_photo, waiting_uploads
from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def rider():
    return Rider()


def picture() -> SimpleUploadedFile:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "grey").save(file, "PNG")
    return SimpleUploadedFile("tie.png", file.getvalue(), "image/png")


def sent(rider: Rider) -> Photo:
    rider.client.post(rider.url("bench-test", "travel"), {
        "bench.travel.used_mm": "101", "photo": picture(), "caption": "left tube", "then": "photo"})
    return made()[0]


def made() -> list[Photo]:
    """Do what the worker does with all that waits."""
    return [photo for upload in waiting_uploads() if (photo := make_photo(upload_id=upload.pk))]


def test_a_photo_is_saved_together_with_the_page(rider):
    photo = sent(rider)
    assert photo.place == "travel" and rider.document["bench"]["travel"]["used_mm"] == "101"
    page = rider.read("bench-test", "travel")
    assert rider.url("photo", photo.pk) in page and 'alt="left tube"' in page


def test_several_photos_at_once_are_all_kept_but_the_one_that_is_none(rider):
    answer = rider.client.post(rider.url("bench-test", "travel"), {
        "photo": [picture(), SimpleUploadedFile("a.jpg", b"not a picture"), picture()], "then": "photo"})
    assert answer.status_code == 422 and len(made()) == 2


def test_a_photo_is_kept_where_an_answer_beside_it_is_too_long_to_keep(rider):
    answer = rider.client.post(rider.url("bench-test", "travel"), {
        "bench.travel.used_mm": "1" * 20_001, "photo": picture(), "then": "photo"})
    assert answer.status_code == 409 and "Everything else on the page is saved." in words_of(answer.content.decode())
    assert len(made()) == 1


def test_the_rider_and_a_tuner_see_it_and_nobody_else(rider, tuner):
    url = rider.url("photo", sent(rider).pk)
    answer = rider.client.get(url)
    assert answer["Content-Type"] == "image/jpeg"
    assert Image.open(io.BytesIO(b"".join(answer.streaming_content))).size == (40, 30)
    assert tuner.client.get(url).status_code == 200
    assert Rider().client.get(url).status_code == 404
    assert Client().get(url).status_code == 404


def test_a_photo_of_one_case_is_not_found_under_another(rider):
    photo, other = sent(rider), Rider()
    assert other.client.get(other.url("photo", photo.pk)).status_code == 404


def test_a_file_that_is_no_photo_is_refused_and_the_answers_stay(rider):
    answer = rider.client.post(rider.url("bench-test", "travel"), {
        "bench.travel.used_mm": "101", "photo": SimpleUploadedFile("a.jpg", b"not a picture"), "caption": "the tie"})
    words = words_of(answer.content.decode())
    assert answer.status_code == 422
    assert "not a photo that we can read" in words and "Your answers on this page are saved." in words
    assert 'value="the tie"' in answer.content.decode()
    assert rider.document["bench"]["travel"]["used_mm"] == "101"


def test_where_a_photo_is_added_lies_folded_until_one_was_refused(rider):
    url = rider.url("bench-test", "travel")
    assert '<details class="add-photo">' in rider.client.get(url).content.decode()
    answer = rider.client.post(url, {"photo": SimpleUploadedFile("a.jpg", b"not a picture"), "then": "photo"})
    assert '<details class="add-photo" open>' in answer.content.decode()


def test_a_photo_can_be_taken_away_again(rider):
    photo = sent(rider)
    rider.client.post(rider.url("photo-remove", photo.pk))
    assert not Photo.objects.exists()


def test_a_photo_whose_file_is_gone_is_not_found(rider):
    photo = sent(rider)
    photo.file.storage.delete(photo.file.name)
    assert rider.client.get(rider.url("photo", photo.pk)).status_code == 404


def test_a_huge_upload_is_cut_off_refused_by_name_and_the_answers_stay(rider, monkeypatch):
    monkeypatch.setattr(photos, "MOST_BYTES", 200_000)
    kept = []
    real = photos.refuse_size
    monkeypatch.setattr(photos, "refuse_size", lambda size: kept.append(size) or real(size))
    huge = SimpleUploadedFile("a.jpg", b"x" * 4_000_000, "image/jpeg")
    answer = rider.client.post(rider.url("bench-test", "travel"), {
        "photo": huge, "bench.travel.used_mm": "101", "caption": "the tie"})
    assert answer.status_code == 422 and "larger than 25 MB" in words_of(answer.content.decode())
    assert rider.document["bench"]["travel"]["used_mm"] == "101" and 'value="the tie"' in answer.content.decode()
    assert 200_000 < kept[0] < 300_000
