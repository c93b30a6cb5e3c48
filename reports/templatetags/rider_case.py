"""The rider's case page includes what is made of the case here."""
from __future__ import annotations

from typing import Any

from django import template

from intake.sheets import Sheet
from reports import rider_case

register = template.Library()


@register.inclusion_tag("reports/rider/standing.html")
def what_we_know(sheet: Sheet) -> dict[str, Any]:
    """Show what we know, who has to act, the stroke ruler, the letters and what is the rider's own."""
    return rider_case.standing(sheet)
