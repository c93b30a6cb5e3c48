"""What stands beside a case on the desk: the data sheets under its answers, and its fee."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from intake.models import Case, Round
from reports import services
from reports.services.fees import NEXT
from reports.sheet_under import lay_under
from reports.shelf_models import Fee

WORDS = {Fee.State.AGREED: "Agreed", Fee.State.SETTLED: "Settled", Fee.State.WAIVED: "Waive it"}


def beside(case: Case, round: Round) -> dict[str, Any]:
    """Return both for the case page's template."""
    return sheets_context(round) | fee_context(case)


def sheets_context(round: Round) -> dict[str, Any]:
    """Return what the case page shows of the sheets under a round's answers."""
    return {"laid": [{
        "version": laid.version, "newer": services.newer_than(version=laid.version),
        **{name: both_legs(getattr(laid, name)) for name in ("filled", "differ", "left_out")},
    } for laid in lay_under(round).sheets]}


def both_legs(rows: Sequence[Mapping[str, str]]) -> list[dict[str, str]]:
    """Return the rows with what is said alike of either leg said once."""
    found: dict[tuple[str, ...], dict[str, str]] = {}
    for row in rows:
        alike = tuple(value for name, value in row.items() if name not in ("path", "leg"))
        found[alike] = {**row, "leg": ", both legs"} if alike in found else dict(row)
    return list(found.values())


def fee_context(case: Case) -> dict[str, Any]:
    """Return the fee as it stands and what can follow; the currency is the one that was used last."""
    fee = services.fee_of(case=case)
    last = fee or Fee.objects.order_by("-id").first()
    return {"fee": fee, "fee_next": [(state, WORDS[state]) for state in NEXT[Fee.State(fee.state)]] if fee else [],
            "fee_currency": last.currency if last else "EUR"}
