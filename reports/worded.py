"""Queries that Django words once and the database answers at every look.

Wording a query with joins takes Django longer than the database takes to answer it: on the queue's page, which is
looked at more than any other, that was a third of all its time.
"""
from __future__ import annotations

from typing import Any

from django.db import connection
from django.db.models import QuerySet

Worded = tuple[str, tuple[Any, ...]]
"""A query's words and its parameters, in their order."""


def worded(rows: QuerySet[Any, tuple[Any, ...]]) -> Worded:
    """Return the words in which ``rows`` are asked for; what lives as long as they do is up to the caller."""
    words, parameters = rows.query.sql_with_params()
    return words, tuple(parameters)


def answers(words: str, parameters: tuple[Any, ...]) -> list[tuple[Any, ...]]:
    """Return what the database says, as it says it: a date is text in SQLite, and a truth may be 1."""
    with connection.cursor() as cursor:
        cursor.execute(words, parameters)
        return cursor.fetchall()
