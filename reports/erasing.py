"""When a rider has a case erased, its letters go first: a draft cannot go while a letter rests on it."""
from __future__ import annotations

from typing import Any

from django.dispatch import receiver

from intake.models import Case
from intake.signals import case_erasing
from reports.models import Letter


@receiver(case_erasing)
def take_letters_away(case: Case, **kwargs: Any) -> None:
    """Delete the case's letters with their versions and deliveries; drafts go with their rounds."""
    Letter.objects.filter(round__case=case).delete()
