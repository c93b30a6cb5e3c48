"""The findings on a terminal: plain text as wide as the window, no colours."""
from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable, Mapping
from typing import Any

from reports.letter_parts import answer_line, asked, assumptions, gap_title, leading, safety_line
from reports.more_parts import Table, more_tables
from reports.phrases import NBSP, SET_TITLES, SETS, UNKNOWN, at, likely_causes, percent, quantity, sentence

NARROWEST, WIDEST = 40, 100
LABEL = 26
TABLE_NEEDS = 72
"""Columns that three sets side by side take; a narrower window gets a line for each."""

Findings = Mapping[str, Any]


def summary(findings: Findings, title: str = "", width: int | None = None) -> str:
    """Return the findings in words, wrapped to ``width`` columns (the terminal's where none is given)."""
    width = min(max(width or shutil.get_terminal_size((80, 24)).columns, NARROWEST), WIDEST)
    parts = [
        _wrapped(title, width) if title else [],
        _wrapped(safety_line(findings), width, "RIDING  "),
        _reasons(findings, width),
        _wrapped(answer_line(findings), width, "ANSWER  "),
        _listing("Why it is open", at(findings, "verdict", "why_open"), width),
        _fork_table(findings, width),
        _causes(findings, width),
        _listing("What weighed most", _weighed(findings), width),
        _advice(findings, width),
        _next_test(findings, width),
        *(_more(table, width) for table in more_tables(findings)),
        _listing("Do not fit together", (f"{row['words']} {row['ask']}" for row in findings["disagreements"]), width),
        _listing("Assumed", assumptions(findings), width),
        _listing("Please check", (f"{asked(row['path'])}: {row['question']}" for row in findings["doubts"]), width),
        _listing("Would help", (f"{gap_title(row)}: {row['why']}" for row in findings["missing"]), width),
        _listing("Take care", findings["cautions"], width),
    ]
    return _printable("\n\n".join("\n".join(part) for part in parts if part))


def _printable(text: str) -> str:
    """Return ``text`` without what could move a terminal's cursor or change its colours."""
    text = text.replace(NBSP, " ")
    return "".join(character if character == "\n" or character.isprintable() else "?" for character in text)


def _wrapped(text: str, width: int, first: str = "", then: str | None = None) -> list[str]:
    return textwrap.wrap(text.replace(NBSP, " "), width, initial_indent=first,
                         subsequent_indent=" " * len(first) if then is None else then, break_on_hyphens=False)


def _listing(title: str, items: object, width: int) -> list[str]:
    lines = [line for item in (items if isinstance(items, Iterable) else ())
             for line in _wrapped(sentence(str(item)), width, "  - ")]
    return [title, *lines] if lines else []


def _reasons(findings: Findings, width: int) -> list[str]:
    return _listing("Why not", (f"{row['reason']} {row['do']}" for row in findings["stop_reasons"]), width)


def _fork_table(findings: Findings, width: int) -> list[str]:
    """Return found, book and advised side by side; a row without any number is left out."""
    rows = [
        ("Usable stroke", "usable_stroke_mm", "mm"), ("ended by", "limited_by", ""), ("Free sag", "free_sag_mm", "mm"),
        ("Rider sag", "rider_sag_mm", "mm"), ("Coils touch at", "coil_bind_stroke_mm", "mm"),
        ("Hard braking load", "brake_load_n", "N"),
    ]
    table = [(title, [_cell(at(findings, "fork", key, name), unit) for name in SETS]) for title, key, unit in rows]
    for side in ("left", "right"):
        for title, key, unit in (("air runs out", "lock_stroke_mm", "mm"), ("oil too much", "excess_oil_ml", "ml")):
            legs = [at(findings, "fork", side)] + [at(findings, "fork", side, name) for name in SETS[1:]]
            table.append((f"{side.capitalize()} leg, {title}",
                          [_cell(leg.get(key) if isinstance(leg, Mapping) else None, unit) for leg in legs]))
    table = [(title, cells) for title, cells in table if set(cells) != {"-"}]
    if not table:
        return []
    if width < TABLE_NEEDS:
        return [line for title, cells in table for line in _wrapped(
            f"{title}: " + ", ".join(f"{SET_TITLES[name].lower()} {cell}"
                                     for name, cell in zip(SETS, cells, strict=True) if cell != "-"),
            width, then="  ")]
    column = (width - LABEL) // len(SETS)
    lines = [("", [SET_TITLES[name] for name in SETS]), *table]
    return ["".join([title.ljust(LABEL), *(cell.rjust(column) for cell in cells)]) for title, cells in lines]


def _cell(value: object, unit: str) -> str:
    text = quantity(float(value), unit) if isinstance(value, int | float) else str(value or UNKNOWN)
    return "-" if text == UNKNOWN else text.replace(NBSP, " ")


def _more(table: Table, width: int) -> list[str]:
    rows = (line for label, words in table.rows for line in _wrapped(f"{label}: {words}", width, "  - "))
    return [*_wrapped(table.title, width), *rows]


def _causes(findings: Findings, width: int) -> list[str]:
    rows = likely_causes(findings)
    if not rows:
        return []
    label = min(max(len(row["title"]) for row in rows), width // 2)
    room = width - label - 12
    return ["Which story fits"] + [
        f"{textwrap.shorten(row['title'], label, placeholder='...').ljust(label)}  "
        f"{'#' * round(room * row['probability'])} {percent(row['probability'])}" for row in rows]


def _weighed(findings: Findings) -> Iterable[str]:
    """What moved the odds of the cause that leads; nothing where a stop sign comes before every cause."""
    lead = leading(findings) or {}
    return () if findings["stop_riding"] else lead.get("moved_by") or ()


def _advice(findings: Findings, width: int) -> list[str]:
    lines: list[str] = []
    for advice in findings["advice"]:
        steps = [line for step in advice["steps"] for line in _wrapped(step, width, "  - ")]
        expect = _wrapped(f"Expect: {advice['expect']}", width, "  ") if advice.get("expect") else []
        lines += [*_wrapped(f"To do: {advice['title']}", width, then="  "), *steps, *expect]
    return lines


def _next_test(findings: Findings, width: int) -> list[str]:
    test = findings["next_test"]
    if not test:
        return []
    expect = [line for row in test.get("expect") or () for line in
              _wrapped(f"{row['cause']}: {row['words']}", width, "  - ")]
    return [*_wrapped(f"Next test: {test['title']} (about {test['minutes']} minutes)", width),
            *_wrapped(test["why"], width, "  "), *expect]
