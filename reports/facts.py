"""The rider's own answers as a letter quotes them: in words, with units, and how each is known."""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from analysis.case import Answer, Case
from analysis.catalogue import QUESTIONS, SIDES
from analysis.units import from_si
from reports.phrases import KNOWN_WORDS, exact
from reports.told_by import a_shop_has_the_bike
from reports.tongue import tell

TELLING: dict[str, str] = {
    "bench.travel.used_mm": _("Travel used on your ride"),
    "bench.travel.end_feel": _("How the travel ended on your ride"),
    "bench.push.end_feel": _("How a hard push by hand ended"),
    "bench.push.rear_wheel": _("The rear wheel in that push"),
    "bench.preload.stop": _("With the preload out, the place where it stops"),
    "bench.oil.condition": _("How was the leg when you measured?"),
    "fork.{side}.oil_level_mm": _("Oil level now"),
    "fork.{side}.oil_level_book_mm": _("Oil level in the papers"),
    "fork.{side}.drained_ml": _("Oil that came out"),
    "fork.{side}.oil_volume_ml": _("Oil poured in"),
    "service.filled": _("How the oil was filled"),
    "bench.alignment.result": _("With the pinch bolts freed"),
    "bench.sag.rider_sag_mm": _("Rider sag"),
    "bench.rebound.rest": _("After a bounce, it came to rest"),
    "bench.springs_out.{side}_stroke_mm": _("Stroke with the spring out"),
    "complaint.symptoms": _("What bothers you"),
    "fork.{side}.spring.rate_n_per_mm": _("Spring rate"),
    "rider.mass_kg": _("Your mass, dressed to ride"),
    "bike.mass_kg": _("The bike's mass, ready to ride"),
    "fork.travel_mm": _("Full stroke"),
}
"""Answers worth quoting, the most telling first, and what a letter calls them."""

SETTINGS = (
    "fork.{side}.preload_turns_in", "fork.{side}.rebound.clicks_out", "fork.{side}.compression.clicks_out",
    "fork.{side}.oil_level_mm", "fork.{side}.spring.rate_n_per_mm", "fork.{side}.gauge_pressure_bar",
    "shock.preload_turns_in", "shock.preload_mm", "tyres.pressure_front_bar", "tyres.pressure_rear_bar",
)
"""What a rider must be able to go back to."""


NO_ANSWER = ("cannot tell", "not sure", "compressed spring out")
"""Answers that tell nothing, or only what goes without saying."""


@dataclass(frozen=True)
class Fact:
    """One answer: what was asked, what was said, and how it is known, all in words."""

    title: str
    value: str
    known: str


def telling_facts(case: Case, most: int = 5) -> tuple[Fact, ...]:
    """Return the answers that a letter rests on, at most ``most``."""
    return tuple(_facts(case, tuple(TELLING)))[:most]


def named_facts(case: Case, paths: Sequence[str]) -> tuple[Fact, ...]:
    """Return the answers at ``paths``, ``{side}`` in them standing for both legs."""
    return tuple(_facts(case, paths))


def baseline(case: Case) -> tuple[Fact, ...]:
    """Return every setting on file, so that a change can be undone."""
    return tuple(_facts(case, SETTINGS))


def _facts(case: Case, paths: Sequence[str]) -> Iterable[Fact]:
    for path in paths:
        legs = {side: answer for side in SIDES
                if (answer := case.answer(path.format(side=side))) and answer.value not in NO_ANSWER}
        if "{side}" not in path:
            yield from (_fact(path, answer, "{title}") for answer in list(legs.values())[:1])
        elif len(legs) == len(SIDES) and len({(answer.value, answer.known) for answer in legs.values()}) == 1:
            yield _fact(path, legs["left"], "{title}, both legs")
        else:
            yield from (_fact(path, answer, f"{{title}}, {side} leg") for side, answer in legs.items())


def _fact(path: str, answer: Answer, where: str) -> Fact:
    question = QUESTIONS[answer.path]
    known = str(KNOWN_WORDS[answer.known])
    if a_shop_has_the_bike() and answer.known == "measured":
        known = tell("measured")
    if question.kind != "quantity" and answer.known in ("measured", "documented"):
        known = _seen(path)
    title = tell(str(TELLING.get(path) or question.title)).strip("¿?")
    return Fact(tell(where, title=title), value_words(answer), known)


def _seen(path: str) -> str:
    if a_shop_has_the_bike():
        return tell("seen") if path.startswith("bench.") else tell("told to us")
    return tell("you saw it") if path.startswith("bench.") else tell("you told us")


def value_words(answer: Answer) -> str:
    """Return an answer as people say it; a quantity typed in another unit is shown as typed, too."""
    question = QUESTIONS[answer.path]
    titles = {choice.value: choice.title for choice in question.choices}
    if isinstance(answer.value, bool):
        return tell("yes") if answer.value else tell("no")
    if isinstance(answer.value, tuple):
        return "; ".join(tell(titles.get(value, value)) for value in answer.value)
    if isinstance(answer.value, str):
        return tell(titles[answer.value]) if answer.value in titles else answer.value
    return _quantity_words(answer.value, question.unit, answer.typed)


def _quantity_words(si: float, unit: str, typed: str) -> str:
    words = exact(from_si(si, unit), unit)
    other = any(character.isalpha() or character in "%\"'" for character in typed.removesuffix(unit))
    if not other:
        return words
    if a_shop_has_the_bike():
        return tell("{words} (written as {typed})", words=words, typed=typed.strip())
    return tell("{words} (you wrote {typed})", words=words, typed=typed.strip())
