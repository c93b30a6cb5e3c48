"""Under each photo on the desk stands where it belongs; what is not there yet, or never will be, is named."""
from __future__ import annotations

import io

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from PIL import Image

from intake import services
from intake.photo_making import add_photo_at_once, make_photo
from intake.photo_pieces import add_photo
from tests.intake.rider_pages import words_of

pytestmark = pytest.mark.django_db
ASKED = "Deepest stroke, seal to tie"


def jpeg(cut: int = 0) -> ContentFile:
    out = io.BytesIO()
    Image.effect_noise((200, 150), 60).save(out, "JPEG")
    return ContentFile(out.getvalue()[:-cut or None], "a.jpg")


def desk(tuner, case) -> str:
    return words_of(tuner.client.get(reverse("desk-case", args=[case.number])).content.decode())


def test_a_photo_stands_over_its_page_and_question_and_what_the_rider_wrote(rider, tuner):
    round = rider.case.current_round
    add_photo_at_once(round=round, place="travel", path="bench.travel.used_mm", upload=jpeg(), caption="left tube")
    add_photo_at_once(round=round, place="oil", upload=jpeg())
    words = desk(tuner, rider.case)
    assert f"Travel used on a ride: {ASKED} “left tube”" in words


def test_a_leg_is_named_with_its_question(rider, tuner):
    add_photo_at_once(round=rider.case.current_round, place="oil", path="fork.left.oil_level_mm", upload=jpeg())
    assert ": Oil level as it is now, left leg" in desk(tuner, rider.case)


def test_what_is_still_being_made_is_named_and_not_shown(rider, tuner):
    add_photo(round=rider.case.current_round, place="travel", path="bench.travel.used_mm", upload=jpeg())
    page = tuner.client.get(reverse("desk-case", args=[rider.case.number])).content.decode()
    assert f"{ASKED} is being prepared" in words_of(page) and "<img" not in page


def test_what_was_refused_says_why_and_how_it_can_come_again(rider, tuner):
    round = services.save_answers(round=rider.case.current_round, answers={"complaint.words": "Stops dead"})
    upload = add_photo(round=round, place="travel", upload=jpeg(cut=900), caption="the tie")
    make_photo(upload_id=upload.pk)
    assert "(“the tie”) could not be used: This photo is damaged" in desk(tuner, rider.case)
    assert "once you ask for it" not in desk(tuner, rider.case)
    services.hand_in(round=round, who="rider")
    assert "can do so once you ask for it" in desk(tuner, rider.case)
