"""What templates need of the form: its fixed lists, drawings and numbers as people read them."""
from __future__ import annotations

from django import template
from django.template import TemplateDoesNotExist
from django.template.loader import get_template
from django.utils.safestring import SafeString, mark_safe

from analysis.catalogue import Choice
from analysis.units import format_quantity
from intake.form import KNOWN
from intake.words import digits, translated

register = template.Library()


@register.simple_tag
def ways_to_know() -> tuple[Choice, ...]:
    """Return how a value can be known, 'I do not know' last."""
    return KNOWN


@register.simple_tag
def drawing(name: str) -> SafeString:
    """Return a line drawing with its key, or nothing where there is none of that name yet."""
    try:
        return mark_safe(get_template(f"intake/drawings/{name}.html").render())
    except TemplateDoesNotExist:
        return mark_safe("")


@register.filter
def millimetres(metres: float) -> str:
    """Return a length in m as the trade writes it."""
    return digits(format_quantity(metres, "mm"))


@register.filter
def said(words: str) -> str:
    """Return words of the catalogue or the engine in the reader's language."""
    return translated(words)


@register.filter
def sentence(words: str) -> str:
    """Return words with a capital first letter and one full stop."""
    words = words.strip()
    return f"{words[:1].upper()}{words[1:]}" + ("" if words.endswith((".", "?", "!")) else ".")
