"""What a tuner has asked for: up to three steps, each a bench test, a look at an answer on file, or a question.

The case keeps what was asked, not the words: they are said in the reader's language, the rider's or the desk's.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from analysis.catalogue import BENCH_TESTS, QUESTIONS, SECTIONS, SIDES, BenchTest, Section
from intake.form import Field, fields_of, in_leg, rows
from intake.paths import at_path, is_blank
from intake.words import translated

MOST = 3
"""So many things are asked for at once: more at a time are not done."""
TEST, STILL_RIGHT, QUESTION = "test", "still right", "question"
TESTS = {test.name: test for test in BENCH_TESTS}
PARTS: tuple[Section | BenchTest, ...] = (*SECTIONS, *BENCH_TESTS)


@dataclass(frozen=True)
class Ask:
    """One thing asked for; ``place`` is the section's or bench test's name where the answer belongs, or blank."""

    kind: str
    place: str = ""
    path: str = ""
    """Of an answer on file that is to be looked at again."""
    words: str = ""
    """Of a question, as the tuner wrote it; of an answer on file, what we hold."""

    def as_row(self) -> dict[str, str]:
        """Return it as the case keeps it."""
        return {"kind": self.kind, "place": self.place, "path": self.path, "words": self.words}

    def said(self) -> str:
        """Return it as a sentence in the reader's language."""
        if self.kind == TEST:
            test = TESTS[self.place]
            return _("Please do this test: “%(title)s”. %(purpose)s About %(minutes)d minutes. If you cannot, say so "
                     "there: we find another way.") % {"title": translated(test.title),
                                                       "purpose": translated(test.purpose), "minutes": test.minutes}
        if self.kind == STILL_RIGHT:
            return _("You told us: “%(title)s”: %(held)s. Is that still right? If so, just hand in again; if not, "
                     "change it on the page.") % {"title": title_of(self.path), "held": self.words}
        return self.words


def asks_of(rows: Any) -> tuple[Ask, ...]:
    """Return what a case keeps of what was asked; what is no longer in the form is left out."""
    found = [Ask(**{name: str(row.get(name) or "") for name in ("kind", "place", "path", "words")})
             for row in rows or () if isinstance(row, Mapping)]
    return tuple(ask for ask in found if ask.kind != TEST or ask.place in TESTS)


def title_of(path: str) -> str:
    """Return a question's title in the reader's language, its leg named."""
    if path not in QUESTIONS:
        return path
    return in_leg(translated(QUESTIONS[path].title), next((side for side in SIDES if f".{side}" in path), ""))


def held(document: Mapping[str, Any], path: str) -> Field | None:
    """Return the answer that is on file at ``path``; None where there is none, or "I do not know"."""
    return next((field for field in on_file(document) if field.path == path), None)


def on_file(document: Mapping[str, Any]) -> list[Field]:
    """Return every answer on file, in the form's order; not those that say "I do not know"."""
    return [field for field in _every_field(document) if not is_blank(field.raw) and field.known != "unknown"
            and field.said and not field.path.endswith(".not_done")]


def is_done(document: Mapping[str, Any], test: str) -> bool:
    """Tell whether a bench test has any answer on file."""
    asked = [path for question in TESTS[test].questions for path in question.paths()]
    return any(there and not is_blank(raw) for there, raw in (at_path(document, path) for path in asked))


def place_of(path: str) -> str:
    """Return the section or bench test that asks ``path``, or blank."""
    return next((part.name for part in PARTS if any(path in question.paths() for question in part.questions)), "")


def _every_field(document: Mapping[str, Any]) -> Iterator[Field]:
    for part in PARTS:
        yield from fields_of(rows(part.questions, document))


def in_words(asks: Sequence[Ask]) -> str:
    """Return all that is asked for, one paragraph each, in the reader's language."""
    return "\n\n".join(ask.said() for ask in asks)
