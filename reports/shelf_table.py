"""The shelf as a table: read with every bad row named, and written so that no spreadsheet runs a cell."""
from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import StringIO

from analysis.csv_rows import LogFaults, read_rows
from analysis.wrong_keys import mend_for
from intake.errors import Refused
from reports.outcome_export import RISKY, safe
from reports.services.shelf import LONGEST_NAME, LONGEST_NOTE, GoodRow, tidy_values
from reports.shelf_fields import FIELDS, sheet_faults
from reports.shelf_models import DataSheet, SheetVersion

HEADS = ("kind", "name", "note")
NAMES = tuple(dict.fromkeys(field.name for fields in FIELDS.values() for field in fields))
MOST_ROWS, LARGEST = 1000, 1_000_000
NEW, CHANGED, SAME = "new", "a new version", "as it is already"


@dataclass(frozen=True)
class BadCell:
    """What cannot be taken: the line in the file, the column, what stands there, why, and what to do."""

    line: int
    column: str
    value: str
    problem: str
    mend: str


@dataclass(frozen=True)
class ReadTable:
    """A table that was read: nothing of it is kept yet."""

    good: tuple[GoodRow, ...]
    bad: tuple[BadCell, ...]

    @property
    def taken(self) -> list[GoodRow]:
        """The rows that would change the shelf."""
        return [row for row in self.good if row.does != SAME]


def read_table(raw: str | bytes) -> ReadTable:
    """Read a table of data sheets; raises Refused where it is none at all."""
    if len(raw) > LARGEST:
        raise Refused("This table is larger than 1 MB.", "Split it.")
    try:
        table = read_rows(raw)
    except LogFaults as caught:
        first = caught.faults[0]
        raise Refused(f"The table cannot be read: {first.path}: {first.problem}.", first.mend) from caught
    heads = [head.casefold() for head in table.rows[0]]
    if not {"kind", "name"} <= set(heads):
        raise Refused("The first line has no columns “kind” and “name”.",
                      "Give the columns the names that a table saved from the shelf has.")
    if len(table.rows) > MOST_ROWS + 1:
        raise Refused(f"The table has {len(table.rows) - 1:,} rows.", f"{MOST_ROWS:,} are the most at once.")
    return _read_lines(heads, table.rows[1:], table.lines)


def _read_lines(heads: list[str], rows: Sequence[list[str]], lines: Sequence[int]) -> ReadTable:
    bad, good, seen = _head_faults(heads, lines[0]), [], set()
    sheets = {(one.kind, one.name): one for one in DataSheet.objects.filter(retired_at__isnull=True)}
    newest = {version.sheet_id: version for version in newest_versions([one.pk for one in sheets.values()])}
    for cells, line in zip(rows, lines[1:], strict=True):
        typed = {head: _plain(cell) for head, cell in zip(heads, cells, strict=False)}
        faults = _row_faults(typed, line, len(cells) > len(heads))
        key = (typed.get("kind", "").casefold(), " ".join(typed.get("name", "").split()))
        if not faults and key in seen:
            faults = [BadCell(line, "name", key[1], "This name stands twice in the table.",
                              "Keep one of the two rows.")]
        bad += faults
        if not faults:
            seen.add(key)
            good.append(_good(line, typed, key, sheets.get(key), newest))
    return ReadTable(tuple(good), tuple(bad))


def _plain(cell: str) -> str:
    """Return a cell without the apostrophe that our own table puts before what a spreadsheet would run."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(RISKY) else cell


def _head_faults(heads: list[str], line: int) -> list[BadCell]:
    found = [BadCell(line, head, "", "This is no column of the shelf: it is left out.", str(mend_for(head, "", NAMES)))
             for head in heads if head and head not in (*HEADS, *NAMES)]
    twice = sorted({head for head in heads if head and heads.count(head) > 1})
    return found + [BadCell(line, head, "", "This column stands twice; the last one counts.", "Keep one of them.")
                    for head in twice]


def _row_faults(typed: dict[str, str], line: int, longer: bool) -> list[BadCell]:
    kind, name = typed.get("kind", "").casefold(), typed.get("name", "")
    if longer:
        return [BadCell(line, "", "", "The row has more cells than there are columns.",
                        "Put a number with a decimal comma into quotation marks, or use semicolons between cells.")]
    if kind not in FIELDS:
        return [BadCell(line, "kind", typed.get("kind", ""), "This is neither a fork nor a shock.",
                        "Write fork or shock.")]
    found = []
    if not 0 < len(name.strip()) <= LONGEST_NAME:
        found.append(BadCell(line, "name", name[:40], "A sheet needs a name.", f"Write 1 to {LONGEST_NAME} signs."))
    if len(typed.get("note", "")) > LONGEST_NOTE:
        found.append(BadCell(line, "note", typed["note"][:40], "The note is too long.", f"{LONGEST_NOTE} signs fit."))
    own = {field.name for field in FIELDS[kind]}
    found += [BadCell(line, key, cell, f"A {kind} has no such value.", "Leave the cell empty.")
              for key, cell in typed.items() if cell and key in NAMES and key not in own]
    values = tidy_values(kind=kind, typed=typed)
    if not values:
        found.append(BadCell(line, "", "", "There is no value in the row.", "Fill in at least one, or take it out."))
    return found + [BadCell(line, fault.name, values.get(fault.name, ""), fault.problem, fault.mend)
                    for fault in sheet_faults(kind, values)]


def _good(line: int, typed: dict[str, str], key: tuple[str, str], sheet: DataSheet | None,
          newest: dict[int, SheetVersion]) -> GoodRow:
    note, values = " ".join(typed.get("note", "").split()), tidy_values(kind=key[0], typed=typed)
    does = NEW
    if sheet is not None:
        version = newest[sheet.pk]
        does = SAME if (version.values, version.note) == (values, note) else CHANGED
    return GoodRow(line, *key, note, values, sheet, does)


def newest_versions(sheets: Sequence[int]) -> list[SheetVersion]:
    """Return the newest version of each sheet, by name."""
    versions: dict[int, SheetVersion] = {}
    for version in SheetVersion.objects.filter(sheet__in=sheets).select_related("sheet").order_by("number"):
        versions[version.sheet_id] = version
    return sorted(versions.values(), key=lambda version: (version.name.casefold(), version.pk))


def as_csv(versions: Sequence[SheetVersion]) -> Iterator[str]:
    """Yield the sheets as a table with commas, its heads first; it can be read back as it is."""
    yield _line((*HEADS, *NAMES))
    for version in versions:
        values = [version.values.get(name, "") for name in NAMES]
        yield _line([version.sheet.kind, version.name, version.note, *values])


def _line(cells: Sequence[str]) -> str:
    out = StringIO()
    csv.writer(out).writerow([safe(cell) for cell in cells])
    return out.getvalue()
