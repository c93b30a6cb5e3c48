"""A logger's or spreadsheet's text as rows of cells: encoding, separator and limits."""
from __future__ import annotations

import csv
from collections import Counter
from dataclasses import dataclass

from analysis.case import Fault
from analysis.say import say

THE_FILE = say("the file")
LARGEST_LOG = 64_000_000
"""Bytes.  An hour at 200 readings a second with six columns is about half of it."""
MOST_ROWS = 1_000_000
MOST_COLUMNS = 500
MOST_FAULTS = 20
"""Faults that are listed one by one; the rest are counted."""

SEPARATORS = {";": "semicolon", "\t": "tab", ",": "comma"}
_LOOKED_AT = 200
_BYTE_ORDER_MARKS = (b"\xff\xfe", b"\xfe\xff")


class LogFaults(ValueError):
    """A recording that cannot be read: every fault, its path naming the line or the column."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("; ".join(f"{fault.path}: {fault.problem}. {fault.mend}" for fault in faults))
        self.faults = faults


def refuse(path: str, problem: str, mend: str) -> LogFaults:
    """Return the refusal with one fault, ready to be raised."""
    return LogFaults((Fault(path, problem, mend),))


@dataclass(frozen=True)
class Rows:
    """The rows that are not empty, each with its line number in the file, and the separator that was found."""

    rows: tuple[list[str], ...]
    lines: tuple[int, ...]
    separator: str


def read_rows(raw: str | bytes) -> Rows:
    """Split a recording into cells.  The separator is the one of ; tab , that cuts most lines into equally many cells.

    Raises LogFaults for what is no text, holds nothing, or is larger than ``LARGEST_LOG`` or ``MOST_ROWS``.
    """
    if len(raw) > LARGEST_LOG:
        raise refuse(THE_FILE, say("it is larger than {most} MB", most=LARGEST_LOG // 1_000_000),
                     say("Cut out the part of interest."))
    text = raw.removeprefix("\ufeff") if isinstance(raw, str) else _decoded(raw)
    if any(ord(letter) < 32 and letter not in "\t\r\n" for letter in set(text)):
        raise refuse(THE_FILE, say("this is not a text file"), say("Export the recording as CSV."))
    lines = text.splitlines()
    separator = _separator([line for line in lines if line.strip()][:_LOOKED_AT])
    numbers = [number for number, line in enumerate(lines, 1) if line.strip(" \t;,")]
    rows = _cells([lines[number - 1] for number in numbers], separator, numbers)
    if not rows:
        raise refuse(THE_FILE, say("there is nothing in it"), say("Export the recording again."))
    if len(rows) > MOST_ROWS:
        raise refuse(THE_FILE, say("it has more than {most} rows", most=f"{MOST_ROWS:,}"),
                     say("Cut out the part of interest."))
    return Rows(tuple(rows), tuple(numbers), separator)


def _decoded(raw: bytes) -> str:
    try:
        return raw.decode("utf-16" if raw.startswith(_BYTE_ORDER_MARKS) else "utf-8-sig")
    except UnicodeDecodeError:
        # Older programs write one byte a letter.  Only headings have letters, and any byte is one here.
        return raw.decode("latin-1")


def _separator(lines: list[str]) -> str:
    """Return what cuts most lines alike into two cells or more; the comma last, as it may be decimal."""
    def alike(separator: str) -> int:
        counts = Counter(line.count(separator) for line in lines)
        del counts[0]
        return max(counts.values(), default=0)

    return max(SEPARATORS, key=alike)


def _cells(lines: list[str], separator: str, numbers: list[int]) -> list[list[str]]:
    reader = csv.reader(lines, delimiter=separator, strict=True)
    rows: list[list[str]] = []
    try:
        for row in reader:
            number = numbers[len(rows)]
            if reader.line_num > len(rows) + 1:  # a quotation mark that is open at the end of its line
                raise csv.Error
            if len(row) > MOST_COLUMNS:
                raise refuse(say("line {line}", line=number), say("it has more than {most} columns", most=MOST_COLUMNS),
                             say("Export fewer channels."))
            rows.append([cell.strip() for cell in row])
    except csv.Error:
        raise refuse(say("line {line}", line=numbers[len(rows)]),
                     say("a quotation mark opens and does not close in it"),
                     say("Mend that line.")) from None
    return rows
