"""The word of its own that a page carries which shows a secret once: see ``intake.shown_once``."""
from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from intake.tokens import new_token

register = template.Library()


@register.simple_tag
def once() -> SafeString:
    """Return the hidden field; each page gets another."""
    return format_html('<input type="hidden" name="once" value="{}">', new_token())
