"""Who has a case, on whatever desk page shows one."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template
from django.utils import timezone

from intake.models import Case
from intake.services import NOTE_LINES, holder_of, newest_note
from intake.states import ENDED
from reports.desk_clock import clocks, reasons

register = template.Library()


@register.inclusion_tag("reports/desk/hold.html", takes_context=True)
def who_has_it(context: Mapping[str, Any], case: Case) -> dict[str, Any]:
    """Show who has the case and until when, its clocks, what was said when it was handed over, and what can be done."""
    now, user = timezone.now(), context["request"].user
    holder, note = holder_of(case, now), newest_note(case=case)
    return {
        "case": case, "holder": holder, "mine": holder is not None and holder.pk == user.pk,
        "last": case.holder if case.holder_id and holder is None else None, "ended": case.state in ENDED,
        "clocks": clocks(case, now), "reasons": reasons(case, now), "note": note,
        "lines": [(title, note.detail.get("note", {}).get(name, "")) for name, title in NOTE_LINES.items()]
        if note else [], "csrf_token": context.get("csrf_token"),
    }
