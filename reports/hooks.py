"""Hears what happens to a case and tells the shop's web-hooks."""
from __future__ import annotations

from typing import Any

from django.dispatch import receiver

from intake.models import Case
from intake.signals import case_moved
from reports.services.hooks import QUESTION_ASKED, STATE_CHANGED, tell_hooks


@receiver(case_moved)
def tell_of_a_move(case: Case, **kwargs: Any) -> None:
    """A case has moved: say so, and say so once more where it moved because something was asked."""
    tell_hooks(case=case, event=STATE_CHANGED)
    if case.state == Case.State.NEEDS_ANSWER:
        tell_hooks(case=case, event=QUESTION_ASKED)
