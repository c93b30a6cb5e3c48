"""Words are kept in versions, and two tuners cannot overwrite each other."""
from __future__ import annotations

import pytest

from intake.errors import Refused
from intake.models import Case, Round
from reports import services
from tests.letter_cases import approved_letter, drafted_letter, tuner, use_fake_engine

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def edit(letter, based_on, text, user=None):
    return services.edit_letter(letter=letter, based_on_version=based_on, text=text, user=user or tuner())


def test_an_edit_adds_a_version_and_keeps_the_one_before():
    letter = drafted_letter()
    first = services.text_of(letter=letter)
    edit(letter, 1, "Hello.\r\n\r\nSet it to 140 mm.  ")
    assert services.text_of(letter=letter) == "Hello.\n\nSet it to 140 mm.\n"
    assert services.text_of(letter=letter, version=1) == first
    assert [version.author for version in letter.versions.all()] == ["worker", "tuner"]


def test_of_two_tuners_on_the_same_version_the_second_is_told_and_overwrites_nothing():
    letter = drafted_letter()
    edit(letter, 1, "From the first tuner.")
    with pytest.raises(Refused, match="tuner saved version 2 while you were writing on version 1") as told:
        edit(letter, 1, "From the other tuner.", tuner("other-tuner"))
    assert "Nothing of yours is lost" in told.value.mend
    assert services.text_of(letter=letter) == "From the first tuner.\n" and letter.versions.count() == 2


def test_a_doubled_click_on_save_adds_one_version():
    letter = drafted_letter()
    edit(letter, 1, "Once.")
    assert edit(letter, 2, "Once.").version == 2


@pytest.mark.parametrize("text", ["", "   \r\n \n", "\x00"])
def test_an_empty_letter_is_refused(text):
    with pytest.raises(Refused, match="empty"):
        edit(drafted_letter(), 1, text)


def test_a_letter_far_too_long_is_refused():
    with pytest.raises(Refused, match="50,002 characters"):
        edit(drafted_letter(), 1, "x" * 50_001)


def test_an_approved_letter_is_not_edited():
    letter = approved_letter()
    with pytest.raises(Refused, match="approved letter is not changed"):
        edit(letter, 1, "One more thing.")
    assert letter.versions.count() == 1


@pytest.mark.parametrize("ended", [Case.State.CLOSED, Case.State.WITHDRAWN])
def test_the_letter_of_an_ended_case_is_not_edited(ended):
    letter = drafted_letter()
    Case.objects.update(state=ended)
    letter.round.case.refresh_from_db()
    with pytest.raises(Refused, match="can only be read"):
        edit(letter, 1, "Too late.")


def test_the_letter_of_an_older_round_is_not_edited():
    letter = drafted_letter()
    Round.objects.create(case=letter.round.case, number=2)
    with pytest.raises(Refused, match="newer round"):
        edit(letter, 1, "Too late.")
