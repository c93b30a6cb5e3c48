"""What columns a recording has, so that a person can say which is which.  Nothing is guessed about what they hold."""
from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from analysis.columns import MOST_HEADING, is_number
from analysis.csv_rows import THE_FILE, Rows, read_rows, refuse
from analysis.say import say
from analysis.unit_names import UNITS, plain_spelling

FIRST = 4
"""Readings that are shown of each column."""


@dataclass(frozen=True)
class Seen:
    """One column: what it is called when it is asked for, its heading as written, and its first readings."""

    name: str
    heading: str
    first: tuple[str, ...]


def columns_seen(raw: str | bytes) -> tuple[Seen, ...]:
    """Return the columns of a recording.  ``name`` is the heading, or the place from 1 where that is not unambiguous.

    Raises LogFaults for what is no table, or has no readings.
    """
    table = read_rows(raw)
    start = _first_reading(table)
    body, heading = table.rows[start:], _heading(table, start)
    counts = Counter(cell.casefold() for cell in heading)
    names = [cell if cell and counts[cell.casefold()] == 1 and not cell.isdecimal() else str(place)
             for place, cell in enumerate(heading, 1)]
    return tuple(Seen(name, cell, tuple(row[place] for row in body[:FIRST] if place < len(row)))
                 for place, (name, cell) in enumerate(zip(names, heading, strict=True)))


def _first_reading(table: Rows) -> int:
    """Return the first row of which most cells are numbers, two at least: a time and a travel."""
    for place, row in enumerate(table.rows[:MOST_HEADING]):
        numbers = sum(is_number(cell, table.separator) for cell in row)
        if numbers >= max(2, len(row) / 2):
            return place
    raise refuse(THE_FILE, say("no line of it holds a time and a reading"),
                 say("Export the recording as CSV, one reading a line, the time among the columns."))


def _heading(table: Rows, start: int) -> list[str]:
    """Return the headings above the readings, blanks where there are none; a line of units is none."""
    width = len(table.rows[start])
    above = [row for row in table.rows[:start] if len(row) == width]
    while above and all(not cell or plain_spelling(cell.strip("[]()")) in UNITS for cell in above[-1]):
        above.pop()
    return above[-1] if above else [""] * width
