"""Whatever people are told in English, they can be told in German and Spanish."""
from __future__ import annotations

import re
import string

import polib
import pytest
from django.conf import settings

from deploy.management.commands.messages import folder
from deploy.sentences import sentences

LANGUAGES = [code for code, _ in settings.LANGUAGES if code != "en"]


def listed(language: str) -> dict[str, polib.POEntry]:
    return {entry.msgid: entry for entry in polib.pofile(str(folder(language) / "django.po")) if not entry.obsolete}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_sentence_is_translated(language):
    entries = listed(language)
    missing = [one.text for one in sentences() if one.text not in entries or not entries[one.text].translated()]

    assert not missing, f"{len(missing)} sentences, the first: {missing[:10]}. Run: manage.py messages"


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_translation_loses_or_invents_a_slot(language):
    wrong = [entry.msgid for entry in listed(language).values()
             for words in ([entry.msgstr] if not entry.msgid_plural else entry.msgstr_plural.values())
             if words and slots(words) != slots(entry.msgid) and slots(words) != slots(entry.msgid_plural)]

    assert not wrong


def slots(text: str) -> set[str]:
    """Return the names to be filled in: {name} and %(name)s."""
    braces = {name for _, name, _, _ in string.Formatter().parse(text) if name} if "%(" not in text else set()
    return braces | set(re.findall(r"%\((\w+)\)s", text))
