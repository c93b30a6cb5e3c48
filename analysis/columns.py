"""Columns of a recording as SI arrays; the person says which column is what.

Nothing is guessed about what a column holds.  A name is matched without regard to capitals; a unit in brackets behind
it, or alone in the line below, counts where the person named none, and must not contradict the one named.
"""
from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.case import Fault
from analysis.csv_rows import MOST_FAULTS, THE_FILE, LogFaults, Rows, read_rows, refuse
from analysis.notes import shown
from analysis.say import one_after_another, say
from analysis.unit_names import UNITS, WANTED, plain_spelling
from analysis.units import UnitProblem, to_si

Floats = NDArray[np.float64]

_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,18}[.,]?[0-9]{0,18}|[.,][0-9]{1,18})(?:[eE][+-]?[0-9]{1,2})?")
_BRACKETED = re.compile(r"(.*\S)\s*[\[(]([^\[\]()]+)[\])]")
MOST_HEADING = 100
"""Lines that loggers write above the readings."""


@dataclass(frozen=True)
class Column:
    """What the person says of a column: its heading, or its place counted from 1 where nothing has that heading.

    ``wanted`` is the unit it must come to ("mm", "s"; "" for plain numbers such as volts or counts); ``unit`` the unit
    of the file's numbers as people spell it, None where the file says it or it is ``wanted`` itself.
    """

    name: str
    wanted: str
    unit: str | None = None


@dataclass(frozen=True)
class Table:
    """The columns asked for, in SI, and the line of the file that each row stands in."""

    columns: Mapping[str, Floats]
    lines: tuple[int, ...]


def read_columns(raw: str | bytes, wanted: Mapping[str, Column]) -> Table:
    """Return the ``wanted`` columns of a recording under the same keys, in SI.

    Separator (; tab or comma), decimal comma and heading are found out.  Raises LogFaults that name every column that
    is not there, every unit that does not fit, and every bad line.
    """
    table = read_rows(raw)
    start, places = _places(table, wanted)
    units, start = _units(table, start, places, wanted)
    body, lines = table.rows[start:], table.lines[start:]
    if not body:
        raise refuse(THE_FILE, say("it has a heading and no readings"), say("Export the recording again."))
    _same_length(body, lines, max(places.values()) + 1)
    read, faults = {}, []
    for key, column in wanted.items():
        read[key], bad = _numbers([row[places[key]] for row in body], lines, column.name, table.separator)
        faults += bad
    if faults:
        raise _limited(faults)
    return Table({key: np.multiply(values, units[key][0]) + units[key][1] for key, values in read.items()}, lines)


def _limited(faults: Sequence[Fault]) -> LogFaults:
    more = len(faults) - MOST_FAULTS
    rest = [Fault(THE_FILE, say("{more} more bad cells", more=more), say("Mend the lines above first."))
            ] if more > 0 else []
    return LogFaults((*faults[:MOST_FAULTS], *rest))


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()


def _bare(heading: str) -> str:
    match = _BRACKETED.fullmatch(heading)
    return _plain(match[1] if match else heading)


def _places(table: Rows, wanted: Mapping[str, Column]) -> tuple[int, dict[str, int]]:
    """Return the row below the heading, and the place of each column."""
    names = [_plain(column.name) for column in wanted.values()]
    best, most = 0, 0
    for number, row in enumerate(table.rows[:MOST_HEADING]):
        known = {_plain(cell) for cell in row} | {_bare(cell) for cell in row}
        hits = 0 if all(is_number(cell, table.separator) for cell in row) else sum(name in known for name in names)
        if hits > most:
            best, most = number, hits
    if not most:
        return _numbered(table, wanted)
    heading = table.rows[best]
    found = {key: _place(column.name, heading) for key, column in wanted.items()}
    faults = tuple(place for place in found.values() if isinstance(place, Fault))
    if faults:
        raise LogFaults(faults)
    return best + 1, {key: place for key, place in found.items() if isinstance(place, int)}


def _place(name: str, heading: list[str]) -> int | Fault:
    whole = [place for place, cell in enumerate(heading) if _plain(cell) == _plain(name)]
    hits = whole or [place for place, cell in enumerate(heading) if _bare(cell) == _plain(name)]
    if len(hits) > 1:
        return Fault(say("column {name}", name=shown(name)), say("{hits} columns have this heading", hits=len(hits)),
                     say("Rename one in the file."))
    if hits:
        return hits[0]
    if name.isdecimal() and 1 <= int(name) <= len(heading):
        return int(name) - 1
    return Fault(say("column {name}", name=shown(name)), say("no column has this heading"), _suggestion(name, heading))


def _suggestion(name: str, heading: list[str]) -> str:
    names = [cell for cell in heading if cell]
    near = difflib.get_close_matches(_plain(name), [_plain(cell) for cell in names[:100]], 1)
    asked = say("Did you mean {meant}?", meant=shown(
        next(cell for cell in names if _plain(cell) == near[0]))) if near else ""
    has = ", ".join(shown(cell) for cell in names[:12])
    return one_after_another([asked, say("The file has {columns} and more.", columns=has) if len(names) > 12 else
                              say("The file has {columns}.", columns=has)])


def _numbered(table: Rows, wanted: Mapping[str, Column]) -> tuple[int, dict[str, int]]:
    """Columns by place, counted from 1; what stands above the first row that can be read counts as heading."""
    width = max(len(row) for row in table.rows[:MOST_HEADING])
    faults = [Fault(say("column {name}", name=shown(column.name)),
                    say("the file has no such column; it has {width}", width=width),
                    _suggestion(column.name, table.rows[0]))
              for column in wanted.values() if not (column.name.isdecimal() and 1 <= int(column.name) <= width)]
    if faults:
        raise LogFaults(tuple(faults))
    places = {key: int(column.name) - 1 for key, column in wanted.items()}
    for number, row in enumerate(table.rows[:MOST_HEADING]):
        if any(place < len(row) and is_number(row[place], table.separator) for place in places.values()):
            # A line of text and units may stand above; one with a single number is a bad reading, not a heading.
            return number, places
    return 0, places


def _units(table: Rows, start: int, places: Mapping[str, int], wanted: Mapping[str, Column],
           ) -> tuple[dict[str, tuple[float, float]], int]:
    """Return factor and offset to SI of each column, and the row where readings begin."""
    heading = table.rows[start - 1] if start else []
    below = table.rows[start] if start < len(table.rows) else []
    cells = [below[place].strip("[]()") if place < len(below) else "" for place in places.values()]
    unit_row = bool(start) and any(cells) and all(not cell or plain_spelling(cell) in UNITS for cell in cells)
    factors, faults = {}, []
    for (key, place), under in zip(places.items(), cells, strict=True):
        bracket = _BRACKETED.fullmatch(heading[place]) if place < len(heading) else None
        written = under if unit_row else bracket[2] if bracket else ""
        try:
            factors[key] = _to_si(wanted[key], written)
        except UnitProblem as problem:
            faults.append(Fault(f"column {shown(wanted[key].name)}", problem.problem, problem.mend))
    if faults:
        raise LogFaults(tuple(faults))
    return factors, start + unit_row


def _to_si(column: Column, written: str) -> tuple[float, float]:
    """Return ``(factor, offset)`` with ``si = factor × number + offset``."""
    if not column.wanted:
        return 1.0, 0.0
    found = UNITS.get(plain_spelling(written))
    # One letter that measures something else is no unit: "Travel (L)" is the left leg and no liter.
    in_file = written if found and (len(written) > 1 or found.measures == WANTED[column.wanted].measures) else ""
    said = column.unit
    if said and in_file and UNITS.get(plain_spelling(said)) != found:
        raise UnitProblem(say("the file says {in_file} and you say {said}", in_file=in_file, said=said),
                          say("Leave the unit out, or mend the heading."))
    unit = said or written
    if unit and not in_file and not said:
        if plain_spelling(unit) in ("v", "mv", "volt", "volts", "count", "counts", "adc", "raw"):
            raise UnitProblem(say("the file says {unit}, which is no {measures}", unit=unit,
                                  measures=WANTED[column.wanted].measures),
                              say("Say what it reads at both ends."))
        unit = ""  # "Travel (front)": words in brackets, no unit
    zero = to_si(f"0 {unit}", column.wanted)
    return to_si(f"1 {unit}", column.wanted) - zero, zero


def _same_length(body: Sequence[list[str]], lines: Sequence[int], least: int) -> None:
    """Every row needs the same number of cells: one more or less shifts the columns without a sign of it."""
    usual = len(body[0])
    bad = [Fault(say("line {line}", line=line), say("it has {row} cells where {usual} are expected", row=len(row),
                                     usual=max(usual, least)),
                 say("Mend that line; decimal commas need semicolons or tabs between the columns."))
           for row, line in zip(body, lines, strict=True) if len(row) != usual or len(row) < least]
    if bad:
        raise _limited(bad)


def is_number(cell: str, separator: str) -> bool:
    """Tell whether a cell holds a number that can be used."""
    return _NUMBER.fullmatch(cell) is not None and not (separator == "," and "," in cell)


def _numbers(cells: list[str], lines: Sequence[int], name: str, separator: str) -> tuple[Floats, list[Fault]]:
    """Return the numbers of one column, and a fault for each cell that is none."""
    takes_comma = separator != ","
    faults = [Fault(say("line {line}", line=line),
                    say("{cell} in column {name} is not a number that can be used", cell=_said(cell), name=shown(name)),
                    say("Leave lines without a reading out."))
              for cell, line in zip(cells, lines, strict=True)
              if not _NUMBER.fullmatch(cell) or not takes_comma and "," in cell]
    if faults:
        return np.zeros(0), faults
    commas, points = (next((line for cell, line in zip(cells, lines, strict=True) if mark in cell), None)
                      for mark in ",.")
    if commas is not None and points is not None:
        return np.zeros(0), [Fault(say("line {line}", line=max(commas, points)),
                                   say("column {name} has both decimal points and commas", name=shown(name)),
                                   say("Export it without thousands separators."))]
    return np.array([float(cell.replace(",", ".")) for cell in cells]), []


def _said(cell: str) -> str:
    return shown(cell) if cell else "an empty cell"


