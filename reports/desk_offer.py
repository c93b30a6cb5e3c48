"""What a tuner's own decision would change in words that were touched before."""
from __future__ import annotations

from typing import Any

from intake.models import Round
from reports.desk_differences import differences, unchanged_apart
from reports.models import Letter
from reports.services import draft_on_offer


def words_on_offer(round: Round) -> dict[str, Any] | None:
    """Return the sentences in which the newest draft differs from the one under the letter; None where settled."""
    letter = Letter.objects.filter(round=round).select_related("draft", "round").first()
    newest = draft_on_offer(letter=letter) if letter and not letter.approved_at else None
    if letter is None or newest is None:
        return None
    decided = newest.judgement or newest.numbers
    return {"who": decided.who if decided else "A tuner",
            "lines": list(unchanged_apart(differences(letter.draft.letter_text, newest.letter_text), around=0))}
