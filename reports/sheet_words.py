"""Where a number is from: the data sheets in words, for the letter and the service sheet."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from analysis.case import Case
from reports.facts import named_facts
from reports.letter_parts import Block, bullets, paragraphs, plain, section
from reports.tongue import tell


def sheet_named(one: Mapping[str, Any]) -> str:
    """Return a sheet's name with its version."""
    return tell("“{name}”, version {version}", name=plain(one["name"]), version=one["version"])


def sheets_block(findings: Mapping[str, Any], case: Case | None) -> list[Block]:
    """Return the letter's block on what our data sheets filled in; a letter that stops the ride has none."""
    if findings.get("stop_riding") or case is None:
        return []
    parts = [_one(one, case) for one in findings.get("sheets") or () if one["filled"]]
    return section("sheets", tell("Numbers from our data sheets"), paragraphs(*parts)) if parts else []


def _one(sheet: Mapping[str, Any], case: Case) -> str:
    filled = [row["path"] for row in sheet["filled"]]
    others = case.without(*(path for path in case.answers if path not in filled))
    asked = tuple(dict.fromkeys(path.replace(".left.", ".{side}.").replace(".right.", ".{side}.") for path in filled))
    told = [f"{fact.title}: {plain(fact.value)}." for fact in named_facts(others, asked)]
    return paragraphs(tell("You did not give us these; they are from our sheet {sheet}. If your papers say otherwise, "
                           "tell us.", sheet=sheet_named(sheet)), bullets(told))


def sheets_line(findings: Mapping[str, Any]) -> str:
    """Return one sentence for a workshop: which sheets book values come from; blank where none does."""
    named = [sheet_named(one) for one in findings.get("sheets") or () if one["filled"]]
    return tell("Book values that the rider did not give are from our data sheet {sheets}.",
                sheets="; ".join(named)) if named else ""
