"""Which answers so far make a question or a bench test unnecessary, and what they say is best asked next."""
from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from analysis.answers import default_known
from analysis.catalogue import QUESTIONS, Question
from analysis.catalogue.branches import ANY, BRANCHES, LEADS, Branch, Lead, When
from intake.paths import at_path, is_blank

_BY_PLACE: dict[str, tuple[Branch, ...]] = {
    place: tuple(branch for branch in BRANCHES if place in branch.skips)
    for place in {skipped for branch in BRANCHES for skipped in branch.skips}}
_NUMBER = re.compile(r"\s*([-+]?[0-9]+(?:[.,][0-9]+)?)")


def why_not_asked(question: Question, side: str, document: Mapping[str, Any]) -> str | None:
    """Return None where the question is asked, otherwise why not: "" where it does not apply at all."""
    condition = question.shown_when
    if condition is not None and not _holds(When(condition.path, condition.values), side, document):
        return ""
    return _skipped(question.path, side, document)


def why_no_test(name: str, document: Mapping[str, Any]) -> str:
    """Return why a bench test tells nothing more; "" where it may."""
    return _skipped(name, "", document) or ""


def leads(document: Mapping[str, Any]) -> list[Lead]:
    """Return the pages and tests that the answers so far put first."""
    return [lead for lead in LEADS if _holds(lead.when, "", document)]


def _skipped(place: str, side: str, document: Mapping[str, Any]) -> str | None:
    for branch in _BY_PLACE.get(place, ()):
        if all(_holds(when, side, document) for when in branch.when) and not any(
                _holds(when, side, document) for when in branch.unless):
            return branch.reason
    return None


def _holds(when: When, side: str, document: Mapping[str, Any]) -> bool:
    path = when.path.format(side=side)
    raw = at_path(document, path)[1]
    if raw is None or is_blank(raw):
        return "unknown" in when.values and raw is None and at_path(document, path)[0]
    known = str(raw.get("known") or default_known(path)) if isinstance(raw, dict) else default_known(path)
    if known == "unknown":
        return "unknown" in when.values
    if when.known and known not in when.known:
        return False
    return when.values == ANY or bool(_said(path, raw) & set(when.values))


def _said(path: str, raw: Any) -> set[str]:
    """Return the answer as the catalogue writes it; a number without its unit and its decimal noughts."""
    value = raw.get("value") if isinstance(raw, dict) else raw
    if isinstance(value, bool):
        return {"yes" if value else "no"}
    if isinstance(value, list):
        return {str(item).lower() for item in value}
    question = QUESTIONS.get(path)
    number = _NUMBER.match(str(value)) if question is not None and question.kind == "quantity" else None
    return {f"{float(number[1].replace(',', '.')):g}"} if number else {str(value).strip().lower()}
