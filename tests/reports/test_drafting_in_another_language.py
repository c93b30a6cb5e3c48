"""A rider who reads German gets a German letter, and the tuner can read along in English."""
from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils.translation import get_language

from reports import tongue
from reports.services import drafting, letters
from tests.letter_cases import drafted_letter, findings, handed_in, tuner

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """No engine and no pictures; each sentence says in which language it was asked for."""
    class Found:
        def as_document(self):
            return findings()

    monkeypatch.setattr(drafting, "analyse", lambda *_: Found())
    monkeypatch.setattr(drafting, "figures", lambda _: [{"name": "x", "title": get_language(), "svg": "", "words": []}])
    monkeypatch.setattr(tongue, "gettext",
                        lambda text: text if get_language() == "en" else f"[{get_language()}] {text}")


def test_the_letter_is_written_in_the_riders_language_and_beside_it_in_english():
    draft = drafted_letter(handed_in(language="de")).draft

    assert draft.language == "de" and draft.figures[0]["title"] == "de"
    assert draft.letter_text.startswith("[de] Hello Rider") and draft.english_text.startswith("Hello Rider")
    assert draft.findings["verdict"]["words"] == "Most likely too much oil."


def test_an_english_letter_needs_no_second_version():
    draft = drafted_letter(handed_in()).draft

    assert draft.language == "en" and draft.english_text == "" and draft.letter_text.startswith("Hello Rider")


def test_the_printed_report_is_in_the_letters_language(monkeypatch):
    monkeypatch.setattr(letters, "report_pdf", lambda *_: get_language().encode())
    letter = drafted_letter(handed_in(language="es"))

    assert letters.print_letter(letter, "words", "tuner") == b"es"


def test_the_desk_speaks_english_and_shows_the_english_words(client):
    letter = drafted_letter(handed_in(language="de"))
    client.force_login(tuner())

    page = client.get(reverse("desk-case", args=[letter.round.case.number]), headers={"accept-language": "de"}).content

    assert b"The rider reads Deutsch" in page and b"Hello Rider" in page and b"[de] Hello Rider" in page
