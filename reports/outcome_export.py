"""All outcomes with what was predicted, as a table or as JSON, without anything of a person.

There is no name, address, number of a case, nor any free words: those may hold a name.  A row has a plain count.
"""
from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from typing import Any

from django.db.models import QuerySet

from reports.models import Outcome
from reports.outcome_numbers import NUMBERS

COLUMNS = ("closed", "cause", "causes", "proof", "grade", "solved", "harm", "verdict", "lead", "lead_odds",
           "lead_right", "brier", "brier_base", "judged", "judged_right", "fork_kind", "complaint", "by_shop", "rounds",
           "first_answer_h", "base_rates")
RISKY = ("=", "+", "-", "@", "\t", "\r")
"""A cell of words that begins so would be run as a formula by a spreadsheet."""


def records(rows: QuerySet[Outcome]) -> Iterator[dict[str, Any]]:
    """Yield the outcomes, oldest first, one plain record each; read in pieces, however many there are."""
    whole = rows.select_related("draft__rates").defer("draft__findings", "draft__figures")
    for row in whole.order_by("id").iterator(500):
        yield _record(row)


def _record(row: Outcome) -> dict[str, Any]:
    draft = row.draft
    found: dict[str, Any] = {name: getattr(row, name) for name in COLUMNS if hasattr(row, name)}
    wait = row.first_answer
    return found | {
        "closed": row.closed_at.date().isoformat(), "by_shop": row.shop_id is not None,
        "first_answer_h": round(wait.total_seconds() / 3600, 2) if wait is not None else None,
        "base_rates": draft.rates.number if draft and draft.rates else 0,
        "odds": {name: p for name, p in row.odds}, "predicted": row.predicted, "measured": row.measured}


def as_json(rows: QuerySet[Outcome]) -> Iterator[str]:
    """Yield the records as one JSON list, a line each."""
    yield "["
    for place, record in enumerate(records(rows)):
        yield ("," if place else "") + "\n" + json.dumps(record, ensure_ascii=False)
    yield "\n]\n"


class _Line:
    """What the table's writer writes to: it gives the line back."""

    def write(self, line: str) -> str:
        return line


def as_csv(rows: QuerySet[Outcome]) -> Iterator[str]:
    """Yield the records as a table with commas, its heads first; the odds stand in one cell."""
    writer = csv.writer(_Line())
    numbers = [one.name for one in NUMBERS]
    heads = (*COLUMNS, "odds", *(f"predicted_{name}" for name in numbers), *(f"measured_{name}" for name in numbers))
    yield writer.writerow(heads)
    for record in records(rows):
        record |= {"causes": "; ".join(record["causes"]),
                   "odds": "; ".join(f"{name} {p:.4f}" for name, p in record["odds"].items())}
        cells = [record[name] for name in (*COLUMNS, "odds")]
        cells += [record[kind].get(name) for kind in ("predicted", "measured") for name in numbers]
        yield writer.writerow([safe(cell) for cell in cells])


def safe(cell: Any) -> Any:
    """Return a cell that no spreadsheet runs: words that begin like a formula get an apostrophe, numbers stay."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(RISKY) else cell
