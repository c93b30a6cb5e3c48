"""Finding cases by words: number, job, title, the rider's words and name, the shop.  Newest first.

One small interface over what each database is best at: FTS5 on SQLite, a GIN index over a tsvector on PostgreSQL.
Both are given words that were taken apart here, so that they find the same and never see a sign of their own grammar.
"""
from __future__ import annotations

import re
import unicodedata
from typing import Any

from django.db import connection

from analysis.catalogue import QUESTIONS
from intake.models import Case, CaseWords
from intake.paths import at_path

AIR = "air"
FORK_KINDS: dict[str, str] = {choice.value: choice.title for choice in QUESTIONS["fork.damper"].choices} | {
    AIR: "Air fork"}
"""The kinds of fork that the queue can be narrowed to: the value that is stored, the words on screens."""

MOST_WORDS, LONGEST_WORD = 10, 40
"""Of what is searched for; more only narrows further."""
LONGEST = 20_000
"""Signs of one case that are searched."""
OF_THE_RIDER = ("bike.description", "complaint.words", "notes")
_WORD = re.compile(r"[^\W_]+")

_SQLITE = ("SELECT rowid FROM intake_casewords_search WHERE intake_casewords_search MATCH %(asked)s "
           "AND rowid {than} %(mark)s ORDER BY rowid {way} LIMIT %(most)s")
_HAS = "array_to_tsvector(string_to_array(words, ' ')) @@ %(asked)s::tsquery"
# A word that many cases have is found among the nearest ones, and a rare one through its index.  The planner knows
# neither: left alone it walks a million cases back for one word that none of them has (2.3 s; this way below 0.1 s).
_POSTGRESQL = (
    "WITH near AS MATERIALIZED (SELECT case_id FROM (SELECT case_id, words FROM intake_casewords "
    "WHERE case_id {than} %(mark)s ORDER BY case_id {way} LIMIT %(near)s) AS nearest "
    f"WHERE {_HAS} ORDER BY case_id {{way}} LIMIT %(most)s), "
    f"far AS MATERIALIZED (SELECT case_id FROM intake_casewords WHERE {_HAS} AND case_id {{than}} %(mark)s "
    "AND (SELECT count(*) FROM near) < %(most)s) "
    "SELECT case_id FROM (SELECT case_id FROM near UNION SELECT case_id FROM far) AS both_of_them "
    "ORDER BY case_id {way} LIMIT %(most)s")
NEAR = 20
"""So many cases are looked through for each one wanted, before the index of all of them is asked."""
NEWEST = 2**62


def plain_words(text: str) -> list[str]:
    """Return the words of ``text``, small and without accents: letters and digits, and nothing else.

    >>> plain_words("Gabel schlägt durch, W-77!")
    ['gabel', 'schlagt', 'durch', 'w', '77']
    """
    apart = unicodedata.normalize("NFKD", text.casefold())
    whole = "".join(sign for sign in apart if not unicodedata.combining(sign))
    return [word[:LONGEST_WORD] for word in _WORD.findall(whole)]


def note_words(*, case: Case) -> None:
    """Write down what the case can be found by, as it is now.  Every service that changes any of it calls this."""
    case = Case.objects.select_related("shop").get(pk=case.pk)
    document = case.current_round.document
    CaseWords.objects.update_or_create(case=case, defaults={"words": words_of(case, document)})
    Case.objects.filter(pk=case.pk).exclude(fork_kind=fork_kind(document)).update(fork_kind=fork_kind(document))


def forget_deleted_words() -> None:
    """Take words out of the index for good that no case has any more.

    FTS5 only marks them as gone, and they would stay readable in its blocks.  Slow where very many cases are kept.
    """
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("INSERT INTO intake_casewords_search(intake_casewords_search) VALUES ('optimize')")


def words_of(case: Case, document: Any) -> str:
    """Return the words of a case as they are stored: each once, with a blank between."""
    said = [case.number, case.shop_job, case.title, case.rider_name, case.shop.name if case.shop else ""]
    said += [_text(document, path) for path in OF_THE_RIDER]
    return " ".join(dict.fromkeys(plain_words(" ".join(said)[:LONGEST])))


def fork_kind(document: Any) -> str:
    """Return what kind of fork the case is about, as far as the document says: what is inside it, or 'air'."""
    if _text(document, "fork.springing") == AIR:
        return AIR
    damper = _text(document, "fork.damper")
    return damper if damper in FORK_KINDS else ""


def _text(document: Any, path: str) -> str:
    raw = at_path(document, path)[1]
    value = raw.get("value") if isinstance(raw, dict) else raw
    return value if isinstance(value, str) else ""


def found(typed: str, *, most: int, older_than: int = NEWEST, newer_than: int | None = None) -> list[int]:
    """Return ids of cases that have every word of ``typed``, newest first; the last word may be the beginning of one.

    At most ``most`` of them: those next below ``older_than``, or next above ``newer_than`` where that is given.
    Whatever is typed is words, never grammar; where it holds no word nothing is found.
    """
    words = plain_words(typed)[:MOST_WORDS]
    if not words:
        return []
    sqlite = connection.vendor == "sqlite"
    than, way, mark = ("<", "DESC", older_than) if newer_than is None else (">", "ASC", newer_than)
    given = {"asked": _for_sqlite(words) if sqlite else _for_postgresql(words), "mark": mark, "most": most,
             "near": most * NEAR}
    with connection.cursor() as cursor:
        cursor.execute((_SQLITE if sqlite else _POSTGRESQL).format(than=than, way=way), given)
        ids = [row[0] for row in cursor.fetchall()]
    return ids if newer_than is None else ids[::-1]


def _for_sqlite(words: list[str]) -> str:
    return " ".join(f'"{word}"' for word in words) + "*"


def _for_postgresql(words: list[str]) -> str:
    return " & ".join(f"'{word}'" for word in words) + ":*"
