"""What the tuner's pages show, prepared as plain words and rows, so that the templates only lay out."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from analysis.catalogue import BENCH_TESTS, QUESTIONS, SECTIONS
from reports import phrases
from reports.service_sheet import oil_is_right

NONE = "–"

PLACES: dict[str, str] = {part.name: part.title for part in (*SECTIONS, *BENCH_TESTS)}
"""Where in the rider's form an answer can belong: every section and bench test, by its name."""


def age_words(since: datetime, now: datetime) -> str:
    """Return how long ago ``since`` was, in the one unit that matters: '40 min', '3 h', '2 days'."""
    minutes = max(0, int((now - since).total_seconds() // 60))
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h"
    return f"{minutes // (24 * 60)} days"


@dataclass(frozen=True)
class CauseBar:
    """One cause with its probability as the length of a bar and as words, and what moved it."""

    title: str
    length: int
    odds: str
    percent: str
    moved_by: tuple[str, ...] = ()


def cause_bar(title: str, probability: float, moved_by: Sequence[str] = ()) -> CauseBar:
    """Return the bar; its length is whole per cent, 0 for less than one."""
    return CauseBar(title, 0 if probability < 0.01 else round(probability * 100), phrases.odds_in_words(probability),
                    phrases.percent(probability), tuple(moved_by))


def cause_bars(findings: Mapping[str, Any]) -> tuple[CauseBar, ...]:
    """Return the causes, likeliest first."""
    causes = sorted(findings.get("causes") or (), key=lambda cause: -cause["probability"])
    return tuple(cause_bar(cause["title"], cause["probability"], cause.get("moved_by") or ()) for cause in causes)


# -- numbers in tables -------------------------------------------------------------------------------------------

FORK_ROWS = (
    ("usable_stroke_mm", "Usable stroke, braking hard", "mm"), ("limited_by", "What ends it", ""),
    ("free_sag_mm", "Free sag", "mm"), ("rider_sag_mm", "Rider sag", "mm"),
    ("brake_load_n", "Load when braking hard", "N"), ("coil_bind_stroke_mm", "Coils touch at", "mm"),
)
LEG_ROWS = (
    ("lock_stroke_mm", "air runs out at", "mm"), ("air_volume_compressed_ml", "air left, leg pushed together", "ml"),
    ("air_volume_extended_ml", "air, leg extended", "ml"), ("compression_ratio", "air squeezed, times", ""),
    ("excess_oil_ml", "oil too much", "ml"),
)
SERVICE_ROWS = (
    ("level_now_mm", "Level now", "mm"), ("level_to_set_mm", "Level to set", "mm"),
    ("draw_off_ml", "To get there", "ml"),
    ("dry_fill_ml", "To pour: dry leg", "ml"), ("drained_fill_ml", "To pour: drained and pumped", "ml"),
    ("not_pumped_fill_ml", "To pour: drained, not pumped", "ml"), ("air_volume_ml", "Air space then", "ml"),
    ("ratio", "Air squeezed, times", ""),
)


@dataclass(frozen=True)
class Cell:
    """A value ready to read, and how sure it is."""

    words: str = NONE
    sure: str = ""


@dataclass(frozen=True)
class TableRow:
    """One line of a table: a title and its cells."""

    title: str
    cells: tuple[Cell, ...]


def cell(value: Any, unit: str = "", sure: Any = None) -> Cell:
    """Return a value with how sure it is: '80 mm' with '74 to 86 mm' from ends, or '± 5 mm' from a deviation."""
    if value is None or isinstance(value, str):
        return Cell(value or NONE)
    words = phrases.quantity(value, unit, None if unit else 1)
    if isinstance(sure, list | tuple):
        return Cell(words, "" if None in sure else phrases.span(*sure, unit))
    return Cell(words, f"±{phrases.NBSP}{phrases.quantity(sure, unit, None if unit else 1)}" if sure else "")


def _known(rows: Iterable[TableRow]) -> tuple[TableRow, ...]:
    """Leave out the rows in which nothing is known."""
    return tuple(row for row in rows if any(one.words != NONE for one in row.cells))


def fork_table(findings: Mapping[str, Any], bases: Sequence[str] = phrases.SETS) -> tuple[TableRow, ...]:
    """Return the fork's figures, one column for each of ``bases``; legs that agree share a row."""
    fork = findings.get("fork") or {}
    spread = fork.get("spread") or {}
    rows = [
        TableRow(title, tuple(cell((fork.get(key) or {}).get(base), unit, (spread.get(key) or {}).get(base))
                              for base in bases))
        for key, title, unit in FORK_ROWS
    ]
    left, right = (tuple(_leg_rows(fork.get(side) or {}, bases)) for side in ("left", "right"))
    for one, other in zip(left, right, strict=True):
        if [cell.words for cell in one.cells] == [cell.words for cell in other.cells]:
            cells = tuple(_both(*pair) for pair in zip(one.cells, other.cells, strict=True))
            rows.append(TableRow(f"Each leg: {one.title}", cells))
        else:
            rows += [replace(one, title=f"Left leg: {one.title}"), replace(other, title=f"Right leg: {other.title}")]
    return _known(rows)


def _both(left: Cell, right: Cell) -> Cell:
    """Return the one cell of two legs that read alike; they may still be known differently well."""
    return left if left == right else replace(left, sure=f"{left.sure or NONE} / {right.sure or NONE}")


def _leg_rows(leg: Mapping[str, Any], bases: Sequence[str]) -> Iterator[TableRow]:
    sets = {"found": leg, "book": leg.get("book") or {}, "advised": leg.get("advised") or {}}
    spread = leg.get("spread") or {}
    for key, title, unit in LEG_ROWS:
        yield TableRow(title, tuple(
            cell(sets[base].get(key), unit, spread.get(key) if base == "found" else None) for base in bases))


def service_table(findings: Mapping[str, Any]) -> tuple[TableRow, ...]:
    """Return the exact amounts for each leg; empty where there is no sheet or only a workshop may do it."""
    sheet = findings.get("service")
    if not sheet or sheet.get("workshop_only"):
        return ()
    return _known(TableRow(title, tuple(_service_cell(sheet.get(side) or {}, key, unit) for side in ("left", "right")))
                  for key, title, unit in SERVICE_ROWS)


def _service_cell(leg: Mapping[str, Any], key: str, unit: str) -> Cell:
    value = leg.get(key)
    spread = leg.get("level_tolerance_mm") if key == "level_to_set_mm" else (leg.get("spread") or {}).get(key)
    if key != "draw_off_ml" or value is None:
        return cell(value, unit, spread)
    amount = cell(abs(value), unit, spread)
    if oil_is_right(leg):
        return Cell("nothing: it stands right")
    return replace(amount, words=f"{'draw off' if value >= 0 else 'add'} {amount.words}")


def question_title(path: str) -> str:
    """Return a question's title by its path, the leg named; the path's own words where it is not in the form."""
    question = QUESTIONS.get(path)
    if question is None:
        return path.replace(".", ", ").replace("_", " ")
    side = next((f", {side} leg" for side in ("left", "right") if f".{side}" in path), "")
    return question.title + side


def place_of(path: str) -> str:
    """Return the section or bench test that asks ``path``, or blank."""
    for part in (*SECTIONS, *BENCH_TESTS):
        if any(path in question.paths() for question in part.questions):
            return part.name
    return path if path in PLACES else ""
