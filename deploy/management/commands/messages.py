"""Write the lists of sentences that translators fill in, and compile what they have filled in.

    manage.py messages            writes deploy/locale/LANGUAGE/LC_MESSAGES/django.po and django.mo
    manage.py messages --check    says what is missing, and changes nothing

A new language: add it to LANGUAGES in deploy/settings.py and run this once.
"""
from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

import polib
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from deploy.sentences import Sentence, sentences

HEAD = {"MIME-Version": "1.0", "Content-Type": "text/plain; charset=utf-8", "Content-Transfer-Encoding": "8bit",
        "Plural-Forms": "nplurals=2; plural=(n != 1);"}


class Command(BaseCommand):
    """Bring the translators' lists up to date."""

    help = "Write deploy/locale/*/LC_MESSAGES/django.po and .mo from every sentence in the code and the catalogue."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the one option."""
        parser.add_argument("--check", action="store_true", help="only say what is missing")

    def handle(self, *args: Any, **options: Any) -> None:
        """Go through the languages."""
        known, lacking = sentences(), 0
        for language in (code for code, _ in settings.LANGUAGES if code != "en"):
            listed = updated(language, known)
            missing = [entry for entry in listed if not entry.obsolete and not entry.translated()]
            lacking += len(missing)
            self.stdout.write(f"{language}: {len(listed)} sentences, {len(missing)} not translated.")
            if options["check"]:
                for entry in missing[:20]:
                    self.stdout.write(f"  {entry.msgid}")
            else:
                write(listed, language)
        if options["check"] and lacking:
            raise CommandError("Translate them in deploy/locale/*/LC_MESSAGES/django.po, then run: manage.py messages")


def folder(language: str) -> Path:
    """Return where a language's list lies."""
    return Path(settings.LOCALE_PATHS[0]) / language / "LC_MESSAGES"


def updated(language: str, known: list[Sentence]) -> polib.POFile:
    """Return the language's list with every sentence of now: translations stay, what nobody says any more goes."""
    path = folder(language) / "django.po"
    before = {entry.msgid: entry for entry in polib.pofile(str(path))} if path.exists() else {}
    made = polib.POFile(wrapwidth=100)
    made.metadata = HEAD | {"Language": language}
    for text, said in _by_text(known).items():
        made.append(_entry(text, said, before.get(text)))
    return made


def _by_text(known: list[Sentence]) -> dict[str, list[Sentence]]:
    together: dict[str, list[Sentence]] = {}
    for one in known:
        together.setdefault(one.text, []).append(one)
    return together


def _entry(text: str, said: list[Sentence], before: polib.POEntry | None) -> polib.POEntry:
    plural = next((one.plural for one in said if one.plural), "")
    entry = polib.POEntry(msgid=text, occurrences=[(one.place, "") for one in said], msgid_plural=plural)
    if plural:
        kept = before.msgstr_plural if before and before.msgid_plural else {}
        entry.msgstr_plural = {0: kept.get(0, ""), 1: kept.get(1, "")}
    elif before:
        entry.msgstr = before.msgstr
    if before:
        entry.tcomment = before.tcomment
        entry.flags = [flag for flag in before.flags if flag == "fuzzy"]
    return entry


def write(listed: polib.POFile, language: str) -> None:
    """Write a list and its compiled form."""
    folder(language).mkdir(parents=True, exist_ok=True)
    listed.save(str(folder(language) / "django.po"))
    listed.save_as_mofile(str(folder(language) / "django.mo"))
