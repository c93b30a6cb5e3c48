"""Every look of a person at a rider's data is on file, beside the diary; the rider's own looks are not."""
from __future__ import annotations

import io
from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from intake import services
from intake.models import Case, Photo, Read
from intake.reads import ONE_READ
from tests.letter_cases import use_fake_engine

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(shop, monkeypatch) -> Case:
    use_fake_engine(monkeypatch)
    case = services.start_case(rider_name="Quillfeather", rider_email="q@riders.example")
    Case.objects.filter(pk=case.pk).update(shop=shop.shop)
    return case


def looked(case) -> list[tuple]:
    return list(Read.objects.filter(case=case).order_by("id").values_list("what", "user_id", "token_id"))


def test_a_tuner_a_shops_person_and_its_program_leave_a_line_each(job, tuner, counter, shop):
    tuner.client.get(reverse("desk-case", args=[job.number]))
    counter.client.get(reverse("shop-case", args=[job.number]))
    shop.client.get(reverse("api-case", args=[job.number]))
    (_, person, _), (_, at_counter, _), (_, nobody, token) = looked(job)
    assert [what for what, *_ in looked(job)] == ["desk-case", "shop-case", "api-case"]
    assert person == tuner.user.pk and at_counter and not nobody and token
    page = tuner.client.get(reverse("desk-trail", args=[job.number])).content.decode()
    for words in ("shop: Shop by the river, anna", "token &#x27;counter&#x27;", "Looked at how the case stands."):
        assert words in page


def test_looking_again_soon_is_the_same_look_and_later_it_is_another(job, tuner, other_tuner):
    page = reverse("desk-case", args=[job.number])
    for client in (tuner.client, tuner.client, other_tuner.client):
        client.get(page)
    assert len(looked(job)) == 2
    Read.objects.update(at=timezone.now() - ONE_READ - timedelta(seconds=1))
    tuner.client.get(page)
    assert len(looked(job)) == 3


def test_each_photo_is_a_look_of_its_own_and_the_riders_is_none(rider, tuner):
    drawn = io.BytesIO()
    Image.new("RGB", (4, 3), "grey").save(drawn, "JPEG")
    photos = [Photo.objects.create(round=rider.case.current_round, place="look",
                                   file=ContentFile(drawn.getvalue(), name=f"{name}.jpg")) for name in "ab"]
    for photo in photos:
        address = reverse("photo", args=[rider.case.number, photo.pk])
        assert tuner.client.get(address).status_code == rider.client.get(address).status_code == 200
    assert list(Read.objects.values_list("which", flat=True)) == [photo.pk for photo in photos]


def test_who_is_refused_has_read_nothing(rider, tuner, counter, stranger, shop):
    for client in (counter.client, stranger.client, shop.client, tuner.client):
        for name in ("desk-case", "shop-case", "api-case"):
            if client is not tuner.client or name != "desk-case":
                client.get(reverse(name, args=[rider.case.number]))
    tuner.client.get(reverse("figure", args=[rider.case.number, 1, 0]))
    assert not Read.objects.exists()


def test_nothing_of_a_person_is_in_it(job, tuner):
    tuner.client.get(reverse("desk-case", args=[job.number]))
    assert "uillfeather" not in str(list(Read.objects.values())) and job.rider_email not in str(Read.objects.values())
