"""What the case page shows of a trial before anything is tried: the draft's own curves, and where its sliders start."""
from __future__ import annotations

from typing import Any

from intake.models import Case, Round
from intake.states import ENDED
from reports.models import Draft, Letter
from reports.try_panel import panel
from reports.try_result import shown
from reports.tuner_models import ChosenNumbers


def standing_numbers(draft: Draft) -> ChosenNumbers | None:
    """Return the tuner's numbers in the draft; None where they are the engine's."""
    return draft.numbers if draft.numbers and draft.numbers.numbers else None


def can_put(case: Case, round: Round, draft: Draft) -> bool:
    """Say whether there is a letter that numbers could go into."""
    return round == case.current_round and draft.revision == round.revision and case.state not in ENDED and not (
        Letter.objects.filter(round=round, approved_at__isnull=False).exists())


def trial_context(case: Case, round: Round, draft: Draft | None) -> dict[str, Any]:
    """Return what the case page shows: the draft's own curves, and sliders that start where it stands.

    Nothing is worked out here: the worker noted where they start.
    """
    if draft is None or not draft.start or _front_is_stopped(draft):
        return {}
    stands = {**draft.findings, "numbers": draft.start}
    return {"trying": panel(draft.start), "result": shown(stands), "tuners_numbers": standing_numbers(draft),
            "can_put": can_put(case, round, draft)}


def _front_is_stopped(draft: Draft) -> bool:
    return any(stop["end"] in ("front", "both") for stop in draft.findings.get("stop_reasons") or ())
