"""A photo whose bell was lost, or whose worker vanished, is rung for again; what is being made is left alone."""
from __future__ import annotations

import io
from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.utils import timezone
from PIL import Image

from intake.models import PhotoUpload
from intake.photo_pieces import add_photo
from reports import sweeper, tasks

pytestmark = pytest.mark.django_db
LONG_AGO = timedelta(minutes=2)


@pytest.fixture
def rung(monkeypatch):
    heard = []
    monkeypatch.setattr(tasks.make_photo, "apply_async", lambda args, **options: heard.append((args[0], options)))
    return heard


@pytest.fixture
def upload(rider):
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "grey").save(out, "JPEG")
    return add_photo(round=rider.case.current_round, place="travel", upload=ContentFile(out.getvalue(), "a.jpg"))


def test_a_lost_bell_is_rung_again_once_it_cannot_be_on_its_way_any_more(upload, rung):
    sweeper.sweep()
    assert rung == []
    PhotoUpload.objects.update(whole_since=timezone.now() - LONG_AGO)
    sweeper.sweep()
    [(rang, options)] = rung
    assert rang == upload.pk and options["priority"] == 9, "letters go first"


def test_a_lease_that_ran_out_is_rung_for_and_a_live_one_is_not(upload, rung):
    PhotoUpload.objects.update(whole_since=timezone.now() - LONG_AGO, claimed_until=timezone.now() + LONG_AGO)
    sweeper.sweep()
    assert rung == []
    PhotoUpload.objects.update(claimed_until=timezone.now() - LONG_AGO, attempts=1)
    sweeper.sweep()
    assert len(rung) == 1


def test_the_task_makes_it_and_may_come_twice(upload, rung):
    for _ in range(2):
        tasks.make_photo.run(upload.pk)
    PhotoUpload.objects.update(whole_since=timezone.now() - LONG_AGO)
    sweeper.sweep()
    assert rung == [] and PhotoUpload.objects.get().photo.width == 40


def test_the_sweep_says_nothing_where_there_is_no_folder(upload, rung, settings, tmp_path, caplog):
    settings.MEDIA_ROOT = tmp_path / "elsewhere"
    sweeper.sweep()
    assert caplog.text == "" and PhotoUpload.objects.get().attempts == 0
