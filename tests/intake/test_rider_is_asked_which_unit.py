"""A number that is unlikely in its unit is asked back, and one tap settles it; without a script, comma or point."""
from __future__ import annotations

import pytest
from django.conf import settings

from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db
DIAMETER = "fork.left.stanchion_diameter_mm"


@pytest.fixture
def rider():
    return Rider()


def settle(rider, section, value, **answers):
    return rider.client.post(rider.url("section", section), {name.replace("__", "."): given for name, given in (
        answers | {"settle": value}).items()})


def test_inches_given_as_millimetres_are_asked_back_with_what_they_would_be(rider):
    rider.save("legs", **{DIAMETER: "1,7", f"{DIAMETER}~unit": "mm"})
    page = rider.read("section", "legs")
    assert f'name="settle" value="{DIAMETER}|in"' in page
    assert "Yes, 1,7 in: 43.18 mm" in words_of(page)
    assert f'value="{DIAMETER}|mm"' not in page  # 1.7 mm is impossible, so it cannot be confirmed


@pytest.mark.parametrize(("language", "button", "asked"), [
    ("de", "Ja, 1,7 in: 43,18 mm", "Meintest du 1,7 in? Das wären 43,18 mm."),
    ("es", "Sí, 1,7 in: 43,18 mm", "¿Querías decir 1,7 in? Serían 43,18 mm."),
])
def test_it_is_asked_with_a_decimal_comma_where_that_is_the_custom(rider, language, button, asked):
    rider.client.cookies[settings.LANGUAGE_COOKIE_NAME] = language
    rider.save("legs", **{DIAMETER: "1,7", f"{DIAMETER}~unit": "mm"})
    words = words_of(rider.read("section", "legs"))
    assert button in words and asked in words


def test_one_tap_puts_the_unit_right(rider):
    rider.save("legs", **{DIAMETER: "1,7", f"{DIAMETER}~unit": "mm"})
    answer = settle(rider, "legs", f"{DIAMETER}|in", **{DIAMETER: "1,7", f"{DIAMETER}~unit": "mm"})
    assert answer.url.startswith(rider.url("section", "legs"))
    assert rider.document["fork"]["left"]["stanchion_diameter_mm"] == "1,7 in"
    page = rider.read("section", "legs")
    assert "1,7 in = 43.18 mm" in page and 'name="settle"' not in page


def test_it_can_be_right_as_it_stands_and_is_then_not_asked_again(rider):
    posted = {"rider.mass_kg": "190", "rider.mass_kg~unit": "kg", "rider.mass_kg~known": "measured"}
    rider.save("rider", **posted)
    assert 'value="rider.mass_kg|kg"' in rider.read("section", "rider")
    settle(rider, "rider", "rider.mass_kg|kg", **posted)
    assert rider.document["rider"]["mass_kg"]["value"] == "190 kg"
    assert 'name="settle"' not in rider.read("section", "rider")
    rider.save("rider", **posted)
    assert rider.document["rider"]["mass_kg"]["value"] == "190 kg"


def test_a_usual_number_is_not_asked_about(rider):
    rider.save("legs", **{DIAMETER: "41", f"{DIAMETER}~unit": "mm"})
    assert 'name="settle"' not in rider.read("section", "legs")


def test_a_unit_that_was_never_on_offer_is_ignored(rider):
    settle(rider, "legs", f"{DIAMETER}|furlong", **{DIAMETER: "1.7", f"{DIAMETER}~unit": "mm"})
    assert rider.document["fork"]["left"]["stanchion_diameter_mm"] == "1.7"


def test_the_enter_key_saves_the_page_and_settles_nothing(rider):
    rider.save("legs", **{DIAMETER: "1.7"})
    form = rider.read("section", "legs").split('enctype="multipart/form-data"', 1)[1]
    assert form.index('name="then" value="next"') < form.index('name="settle"')
