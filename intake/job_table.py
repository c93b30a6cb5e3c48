"""A table of jobs, read from a file as workshops save them: its separator, its letters, what is wrong in which cell.

One line is one job.  A column is named ``job``, ``rider_name``, ``rider_email``, ``title`` or ``notes``, or by a
question's path in the case document, its unit at the end: ``bike.mass_kg``.  A cell is a number in that unit, or has
its own: ``4.3 in``.  ``PATH.known`` says how a value is known.  Several picks stand with ``+`` between them.
"""
from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from analysis.catalogue import QUESTIONS
from analysis.document import CaseFaults
from analysis.wrong_keys import mend_for
from intake.errors import Refused
from intake.paths import put, storable
from intake.services.handing_in import LONGEST_JOB, check_document
from intake.services.starting import checked_email

MOST_BYTES = 1_000_000
MOST_ROWS = 200
MOST_COLUMNS = 400
SHOWN = 120
HEAD = ("job", "rider_name", "rider_email")
EXTRA = ("title", "notes")
SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}
GUESSED = ("The file is not in UTF-8, so its letters were guessed to be Western European (Latin-1). Look at the names: "
           "where ä, é or ñ came out wrong, save the file as UTF-8 and send it again.")


@dataclass(frozen=True)
class CellFault:
    """What is wrong in one cell; line 1 is the line of the column names."""

    line: int
    column: str
    value: str
    problem: str
    mend: str


@dataclass
class JobRow:
    """One job as its line says it."""

    line: int
    job: str = ""
    rider_name: str = ""
    rider_email: str = ""
    document: dict[str, Any] = field(default_factory=dict)
    faults: list[CellFault] = field(default_factory=list)


@dataclass
class ReadTable:
    """What a file says: its jobs, what is wrong with its column names, and what is to be said about it as a whole."""

    rows: list[JobRow]
    head_faults: list[CellFault]
    notes: list[str]


def read_table(data: bytes) -> ReadTable:
    """Read a file of jobs.  Raises ``Refused`` where nothing can be made of it as a table at all."""
    if len(data) > MOST_BYTES:
        raise Refused("The table is larger than 1 MB.", "Send it in parts.")
    text, notes = _letters(data)
    lines, separator = _lines(text)
    if not lines:
        raise Refused("The table is empty.", "The first line names the columns, each further line is one job.")
    notes.append(f"Its cells stand between {SEPARATORS[separator]}." if separator else "It has one column only.")
    (number, names), body = lines[0], lines[1:]
    names = [name.strip() for name in names]
    _refuse_sizes(names, body)
    rows = [_row(line, names, cells) for line, cells in body]
    _name_doubles(rows)
    return ReadTable(rows, _head_faults(number, names), notes)


def _letters(data: bytes) -> tuple[str, list[str]]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        text, notes = data.decode("utf-16", "replace"), ["The file was in UTF-16."]
    else:
        try:
            text, notes = data.decode("utf-8-sig"), []
        except UnicodeDecodeError:
            text, notes = data.decode("latin-1"), [GUESSED]
    if "\x00" in text:
        raise Refused("This is not a table of text.", "Save it as CSV: your spreadsheet offers that under 'Save as'.")
    return text, notes


def _lines(text: str) -> tuple[list[tuple[int, list[str]]], str]:
    """Return the lines that say anything, each with its number, and the separator."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", first)
    counts = {separator: bare.count(separator) for separator in SEPARATORS}
    separator = max(counts, key=lambda one: counts[one])
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    found: list[tuple[int, list[str]]] = []
    before = 0
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                found.append((before + 1, cells))
            before = reader.line_num
    except csv.Error:
        raise Refused(f"The table cannot be read from line {reader.line_num} on: a quotation mark is left open there.",
                      "Close it, or write two of them for one that belongs to the text.") from None
    return found, separator if counts[separator] else ""


def _refuse_sizes(names: list[str], body: list[tuple[int, list[str]]]) -> None:
    if "job" not in names:
        raise Refused("No column is called 'job'.",
                      "Call the column with your own job numbers 'job'; the first line names the columns.")
    if len(body) > MOST_ROWS or len(names) > MOST_COLUMNS:
        raise Refused(f"The table has {len(body)} jobs and {len(names)} columns.",
                      f"Send at most {MOST_ROWS} jobs and {MOST_COLUMNS} columns at a time.")
    if not body:
        raise Refused("The table names its columns and holds no job.", "Each further line is one job.")


def _head_faults(line: int, names: list[str]) -> list[CellFault]:
    faults = []
    for name, count in Counter(names).items():
        if count > 1 and name:
            faults.append(CellFault(line, name, name, f"Two columns are called '{_short(name)}'.", "Keep one of them."))
        if not _is_column(name):
            group, _, key = name.rpartition(".")
            siblings = tuple(path.rpartition(".")[2] for path in QUESTIONS if path.rpartition(".")[0] == group)
            mend = str(mend_for(key, f"{group}." if group else "", siblings)) if siblings and key else (
                "Name it by a question's path, such as bike.mass_kg, or leave the column out.")
            faults.append(CellFault(line, name, _short(name), "This column is not a question that is asked.", mend))
    return faults


def _is_column(name: str) -> bool:
    return name in (*HEAD, *EXTRA) or name.removesuffix(".known") in QUESTIONS


def _row(line: int, names: list[str], cells: list[str]) -> JobRow:
    row, told = JobRow(line), {name: cell.strip() for name, cell in zip(names, cells, strict=False)}
    if any(cell.strip() for cell in cells[len(names):]):
        row.faults.append(CellFault(
            line, "", _short(cells[len(names)]), "This line has more cells than there are columns.",
            "Put a text that holds the separator between quotation marks."))
    _read_head(row, told)
    document: dict[str, Any] = {"schema": 1}
    for name, cell in told.items():
        if cell and name not in HEAD and _is_column(name) and not name.endswith(".known"):
            put(document, name, _value(name, cell, told), {})
    row.document = document
    _check(row, told)
    return row


def _read_head(row: JobRow, told: Mapping[str, str]) -> None:
    row.job, row.rider_name = told.get("job", ""), " ".join(told.get("rider_name", "").split())[:120]
    if not row.job or len(row.job) > LONGEST_JOB:
        problem = "The job number is too long." if row.job else "The job number is empty."
        row.faults.append(CellFault(
            row.line, "job", _short(row.job), problem,
            f"Write your own number of the job, 1 to {LONGEST_JOB} signs."))
    try:
        row.rider_email = checked_email(told.get("rider_email", ""))
    except Refused as refused:
        row.faults.append(CellFault(
            row.line, "rider_email", _short(told["rider_email"]), refused.problem, refused.mend))


def _value(name: str, cell: str, told: Mapping[str, str]) -> Any:
    question = QUESTIONS.get(name)
    if question is None:
        return cell
    value: Any = cell
    several = question.kind == "many" or question.repeats > 1
    if several and "+" in cell.lstrip("+") and cell.lower() != "unknown":
        value = [pick.strip() for pick in cell.split("+") if pick.strip()]
    elif question.kind == "yes_no":
        value = cell.lower()
    known = told.get(f"{name}.known", "")
    return {"value": value, "known": known} if known else value


def _check(row: JobRow, told: Mapping[str, str]) -> None:
    try:
        row.document = storable(row.document)
        check_document(row.document)
    except Refused as refused:
        row.faults.append(CellFault(row.line, "", "", refused.problem, refused.mend))
    except CaseFaults as caught:
        for fault in caught.faults:
            column = fault.path if fault.path in told else fault.path.removesuffix(".value")
            row.faults.append(CellFault(row.line, column, _short(told.get(column, "")), _sentence(fault.problem),
                                        _sentence(fault.mend)))


def _name_doubles(rows: list[JobRow]) -> None:
    seen: dict[str, int] = {}
    for row in rows:
        if row.job in seen:
            row.faults.append(CellFault(
                row.line, "job", _short(row.job), f"Line {seen[row.job]} has this job number too.",
                "Give each bike and complaint its own number."))
        elif row.job:
            seen[row.job] = row.line


def _short(value: str) -> str:
    return value if len(value) <= SHOWN else f"{value[:SHOWN]}…"


def _sentence(words: str) -> str:
    words = str(words)
    return f"{words[:1].upper()}{words[1:]}{'' if words.endswith(('.', '!', '?', '…')) else '.'}" if words else ""
