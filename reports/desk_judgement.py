"""A tuner's judgement beside the engine's, for the case page."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from analysis.causes import BY_NAME
from reports.models import Draft
from reports.own_hand import engines_verdict
from reports.phrases import percent


def judgement_context(draft: Draft | None) -> dict[str, Any]:
    """Return what the page shows of a tuner's judgement beside the engine's, and what can be judged."""
    if draft is None:
        return {}
    findings, own = draft.findings, draft.judgement
    causes = findings.get("causes") or ()
    return {
        "engines_words": engines_verdict(findings)["words"],
        "judgement": None if own is None else {
            "row": own, "title": BY_NAME[own.cause].title, "odds": _odds(own.cause, own.odds)},
        "judgeable": [] if findings.get("stop_riding") else [
            (one["name"], f"{one['title']}, {percent(one['probability'])}") for one in causes]}


def _odds(cause: str, odds: Mapping[str, Any]) -> str:
    """Return what the engine gave the tuner's cause at that time."""
    return percent(dict(odds["causes"]).get(cause, 0.0))
