"""What new base rates would change: rate by rate, and the leading cause of the newest cases."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from analysis.base_rates import reweighed, starting_rates
from analysis.causes import CAUSES
from intake.models import Case
from reports.models import Draft
from reports.outcome_odds import odds_of
from reports.services.base_rates import Proposal, springing_and_damper

LAST_CASES = 50
MOST_LOOKED_AT = 200
"""Cases that are looked at for ``LAST_CASES`` with a draft."""


@dataclass(frozen=True)
class Change:
    """One case whose leading cause would be another, or stay."""

    number: str
    state: str
    before: str
    after: str
    odds: str
    changes: bool


def rate_rows(now: Mapping[str, float], proposal: Proposal) -> list[dict[str, Any]]:
    """Return old and new rate of every cause, in percent, with how often it was confirmed; most changed first."""
    rows = []
    for cause in CAUSES:
        old, new = now.get(cause.name, cause.base_rate), proposal.rates[cause.name]
        rows.append({"title": cause.title, "seen": proposal.counted.get(cause.name, 0), "old": f"{100 * old:.2f}",
                     "new": f"{100 * new:.2f}", "times": f"{new / old:.2f}", "by": abs(new / old - 1)})
    return sorted(rows, key=lambda row: -row["by"])


def changes(new: Mapping[str, float]) -> list[Change]:
    """Return for the newest cases with a draft what their leading cause would become; nothing is written."""
    titles = {cause.name: cause.title for cause in CAUSES}
    return [_change(draft, new, titles) for draft in _newest_drafts()]


def _newest_drafts() -> list[Draft]:
    cases = list(Case.objects.exclude(state=Case.State.COLLECTING).order_by("-id").values_list("pk", flat=True)
                 [:MOST_LOOKED_AT])
    drafts = Draft.objects.filter(round__case__in=cases).select_related("round__case", "rates").order_by("id").defer(
        "figures", "letter_text", "english_text", "blocks", "round__document")
    ids = {case: pk for case, pk in drafts.values_list("round__case", "pk")}
    newest = sorted(ids, reverse=True)[:LAST_CASES]
    return [draft for draft in drafts.filter(pk__in=[ids[case] for case in newest]).order_by("-round__case")]


def _change(draft: Draft, new: Mapping[str, float], titles: Mapping[str, str]) -> Change:
    case, odds = draft.round.case, dict(odds_of(draft.findings))
    old = draft.rates.rates if draft.rates else None
    after = reweighed(odds, *springing_and_damper(case.fork_kind), old, new)
    lead, next_lead = (max(found, key=lambda name: found[name], default="") for found in (odds, after))
    return Change(case.number, case.get_state_display(), titles.get(lead, lead), titles.get(next_lead, next_lead),
                  f"{100 * odds.get(lead, 0):.0f} to {100 * after.get(lead, 0):.0f}", lead != next_lead)


def rates_now(rates: Mapping[str, float] | None) -> dict[str, float]:
    """Return the rates that count, complete."""
    return {**starting_rates(), **(rates or {})}
