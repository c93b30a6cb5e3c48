"""The words that the phone's own scripts say, in the page's language."""
from __future__ import annotations

from django import template
from django.template.loader import get_template
from django.utils.html import json_script
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from analysis.catalogue import BENCH_TESTS, QUESTIONS, SECTIONS, SIDES
from intake.form import in_leg
from intake.photo_hints import hint_for
from intake.photo_words import ToCome, photos_to_come
from intake.sheets import Sheet
from intake.words import translated

register = template.Library()


@register.simple_tag
def kept_words() -> SafeString:
    """Return the words as a block of data; ``{n}`` and other braces are filled in on the phone."""
    return json_script(_waiting() | _clashing() | _photos(), "kept-words")


@register.simple_tag
def photo_hint(place: str) -> SafeString:
    """Return the drawing of how to take the photo that helps on this page."""
    return mark_safe(get_template(f"intake/drawings/{hint_for(place)}.html").render())


@register.filter
def question_title(path: str) -> str:
    """Return the words of the question that a photo belongs to."""
    if path not in QUESTIONS:
        return path
    return in_leg(translated(QUESTIONS[path].title), next((side for side in SIDES if f".{side}." in path), ""))


@register.filter
def place_title(name: str) -> str:
    """Return the words of the page that a photo belongs to."""
    return next((translated(part.title) for part in (*SECTIONS, *BENCH_TESTS) if part.name == name), name)


@register.simple_tag
def photos_refused(sheet: Sheet) -> list[ToCome]:
    """Return the case's photos that could not be used."""
    return [one for one in photos_to_come(sheet.round) if one.refused]


def _waiting() -> dict[str, str]:
    return {
        "wait_answers_one": _("1 answer waits on this phone."),
        "wait_answers_many": _("{n} answers wait on this phone."),
        "answers_one": _("1 answer"),
        "answers_many": _("{n} answers"),
        "typed": _("typed, not saved yet. Open the page and save it."),
        "typed_here": _("typed on this page, kept on this phone. Save it at the foot of the page."),
        "on_the_way": _("on the way."),
        "waits": _("saved on this phone, not sent yet."),
        "refused": _("could not be taken in."),
        "send_now": _("Send now"),
        "throw_away": _("Throw away"),
        "sure": _("Throw this away? It is nowhere else."),
        "no_signal": _("There is no signal just now. Everything is safe on this phone and is sent when there is one."),
        "needs_signal": _("That needs a signal, and there is none just now. Try again when you have one."),
        "overloaded": _("The service is busy just now. Everything is safe on this phone and is sent in a moment."),
        "fault": _("Something is wrong on our side. What is still here is safe on this phone and is tried again."),
        "fault_here": _("Our side could not take this one in. That is not your doing. It is tried again by itself."),
        "shut": _("To send this, open your private link on this phone again, or ask for a new one. Nothing is lost."),
        "look": _("Sent: {title}. Something in it is worth a second look."),
        "open": _("Open the page"),
    }


def _clashing() -> dict[str, str]:
    return {
        "clashes": _("changed on another device meanwhile."),
        "clash": _("Another device changed the same answers. Pick what is right; nothing is decided without you."),
        "on_phone": _("On this phone"),
        "in_case": _("In the case now"),
        "nothing": _("nothing"),
        "use": _("Use what I picked"),
        "pick_first": _("Pick one for: {title}"),
    }


def _photos() -> dict[str, str]:
    return {
        "wait_photos_one": _("1 photo waits on this phone."),
        "wait_photos_many": _("{n} photos wait on this phone."),
        "photo": _("Photo without words"),
        "photo_waits": _("not sent yet."),
        "photo_share": _("{share} % sent."),
        "photo_refused": _("could not be taken in."),
        "photos_kept": _("Kept on this phone, to be sent from there: {names}."),
        "photos_left": _("No room on this phone for: {names}. Still picked: make room or find a signal, then save."),
        "photo_made": _("Received; it is being prepared."),
        "send_again": _("Send again"),
        "add_here": _("Add it to this round"),
    }
