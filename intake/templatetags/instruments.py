"""The instruments in templates."""
from __future__ import annotations

from typing import Any

from django import template
from django.template import Context
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from intake.form import Field
from intake.instruments import instrument_for
from intake.reading import bounce_result
from intake.sheets import Sheet
from intake.stations import Station

register = template.Library()


@register.simple_tag(takes_context=True)
def instrument(context: Context, field: Field) -> SafeString:
    """Return the instrument that can measure a field; nothing where there is none or the test must not be done."""
    found = instrument_for(field.question)
    if found is None or getattr(context.get("station"), "closed", ""):
        return mark_safe("")
    return render_to_string(f"intake/instruments/{found.name}.html", {"instrument": found, "field": field})


@register.inclusion_tag("intake/instruments/bounce.html")
def bounce(sheet: Sheet, station: Station) -> dict[str, Any]:
    """Show what the engine makes of the bounce that stands in this test's answers."""
    return {"bounce": bounce_result(sheet.read, station.place.name)}
