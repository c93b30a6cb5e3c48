"""What translators wrote is what people read: the compiled lists are never older than the written ones."""
from __future__ import annotations

import polib
import pytest
from django.conf import settings

from deploy.management.commands.messages import folder
from deploy.sentences import sentences

LANGUAGES = [code for code, _ in settings.LANGUAGES if code != "en"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_compiled_list_says_what_the_written_one_says(language):
    written = {entry.msgid: said(entry) for entry in polib.pofile(str(folder(language) / "django.po"))
               if entry.translated()}
    compiled = {entry.msgid: said(entry) for entry in polib.mofile(str(folder(language) / "django.mo"))}

    assert compiled == written, "Run: manage.py messages"


def said(entry: polib.POEntry) -> object:
    return dict(entry.msgstr_plural) if entry.msgid_plural else entry.msgstr


def test_sentences_of_engine_catalogue_code_and_pages_are_found():
    texts = {one.text for one in sentences()}

    assert "Turn the rebound in" in texts  # one of two
    assert "Rider sag should be {low} to {high} mm." in texts  # one of several, in a loop
    assert "Too much oil, too little air" in texts  # a cause's title
    assert "Hello {name}," in texts
    assert "Your suspension, case {number}: our letter" in texts
