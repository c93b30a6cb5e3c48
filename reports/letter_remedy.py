"""The letter that names a cause: one remedy, what it should change, and how to undo it."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from analysis.case import Case
from analysis.state import kept_closed
from reports.facts import baseline
from reports.letter_parts import (
    STOP_WHEN,
    Block,
    Findings,
    against,
    bullets,
    leading,
    numbered,
    opening,
    paragraphs,
    plain,
    rests_on,
    section,
)
from reports.phrases import at, listed, quantity, sentence
from reports.remedies import REMEDIES, Remedy
from reports.remedies_by_cause import by_a_workshop, remedy_for
from reports.told_by import a_shop_has_the_bike
from reports.tongue import inside, spoken, tell

OPEN_ONLY_SKILLED = (_("If you have not opened a fork cap before, or have no stand that lifts the front by the "
                         "frame, do not start: give the service sheet to a workshop."))
GIVE_AWAY = (_("By what you told us you have no stand, or have not opened a fork cap before. Give the service "
                 "sheet that comes with this letter to a workshop; it is written for that. What it is to do:"))
AT_THE_SHOP = _("The workshop that wrote to us for you has the service sheet for this work. What it is to do:")
IN_THE_SHOP = _("This is for the workshop that wrote to us for you. What it is to do:")
Job = tuple[str, str, str]
"""What there is to do, what to take care of, and the steps."""
NOT_AT_HOME = (_("By what you told us you have no stand, or have not opened a fork cap before. Please leave this "
                   "to a workshop. What it is to do:"))


def remedy_letter(findings: Findings, case: Case | None) -> list[Block]:
    """Return the blocks of a letter that names a cause and one thing to do about it."""
    cause = leading(findings) or {}
    advice = next(iter(findings.get("advice") or ()), {})
    remedy = remedy_for(cause.get("name", ""), cause.get("remedy", ""), bool(advice.get("by_workshop")))
    kept = remedy.opens_the_fork and _is_kept_closed(findings, case)
    remedy = spoken(by_a_workshop(remedy) if kept else remedy)
    job = _leave_closed(findings, remedy) if kept else _job(findings, remedy, case)
    return [
        *opening(findings),
        *section("rests on", tell("What this rests on"), rests_on(findings, case)),
        *section("against", tell("What speaks against it, and what we could not tell"), against(findings)),
        *section("do", tell("The one thing to do now"), paragraphs(*job[:1])),
        *(Block(name, text) for name, text in zip(("cautions", "steps"), job[1:], strict=True) if text),
        *section("see", tell("What you should see"), _expected(findings, remedy)),
        *section("send back", tell("What to send back"), bullets([remedy.photo, *remedy.send_back])),
        *section("otherwise", tell("If you see something else"),
                 bullets(f"**{seen}**: {meaning}" for seen, meaning in remedy.otherwise)),
        *section("stop when", tell("When to stop"), paragraphs(
            tell("Stop, do not ride, and write to us or go to a licensed workshop when"), bullets(STOP_WHEN))),
        *section("undo", tell("How to undo it"),
                 _undo(remedy.undo, case)),
    ]


def _is_kept_closed(findings: Findings, case: Case | None) -> bool:
    """Tell whether a workshop, and nobody else, opens this fork."""
    return bool(at(findings, "service", "workshop_only")) or case is not None and bool(kept_closed(case))


def _job(findings: Findings, remedy: Remedy, case: Case | None) -> Job:
    advice = next(iter(findings.get("advice") or ()), {})
    title, steps = str(advice.get("title") or remedy.title).rstrip("."), _steps(remedy, advice)
    if _is_oil(remedy) and not findings.get("service"):
        return f"**{title}.**", "", numbered(steps)
    exact = tell("How exact: {tolerance}", tolerance=inside(remedy.tolerance))
    if a_shop_has_the_bike() and (remedy.for_workshop or remedy.opens_the_fork):
        there = AT_THE_SHOP if findings.get("service") and remedy.at_the_fork else IN_THE_SHOP
        danger = f"**{remedy.protect}**" if remedy.for_workshop else ""
        return paragraphs(f"**{title}.**", there), danger, paragraphs(numbered(steps), exact)
    takes = tell("**{title}.** It takes {minutes}.", title=title, minutes=remedy.minutes)
    if remedy.for_workshop:
        return takes, f"**{remedy.protect}**", paragraphs(numbered(steps), exact)
    if remedy.opens_the_fork and not _skilled(case):
        give_away = GIVE_AWAY if findings.get("service") else NOT_AT_HOME
        return paragraphs(f"**{title}.**", give_away), "", paragraphs(numbered(steps), exact)
    cautions = [sentence(str(caution)) for caution in findings.get("cautions") or ()]
    return (
        paragraphs(takes, OPEN_ONLY_SKILLED if remedy.opens_the_fork else "",
                   tell("You need {tools}.", tools=listed(remedy.tools))),
        bullets([f"**{remedy.protect}**", *cautions]),
        paragraphs(numbered(_full_steps(findings, remedy, steps)), exact),
    )


def _steps(remedy: Remedy, advice: Mapping[str, Any]) -> Sequence[str]:
    """Return the advice's steps; where a workshop takes them, the way there comes first, unless the bike is there."""
    steps = advice.get("steps") or ()
    if a_shop_has_the_bike():
        return steps or remedy.steps
    return [*remedy.steps[:1], *steps] if remedy.for_workshop and steps else steps or remedy.steps


def _is_oil(remedy: Remedy) -> bool:
    return remedy.title in (REMEDIES["oil"].title, tell(REMEDIES["oil"].title))


def _skilled(case: Case | None) -> bool:
    """Say whether the rider may open a fork: true where nobody asked, and the letter then says who should not."""
    can = case.value("rider.can") if case else None
    return not isinstance(can, tuple) or {"caps", "stand"} <= set(can)


def _full_steps(findings: Findings, remedy: Remedy, steps: Sequence[str]) -> Sequence[str]:
    """Return the whole order of work where the fork is opened for its oil, else the advice's own steps."""
    order = at(findings, "service", "order")
    return [str(step) for step in order] if _is_oil(remedy) and isinstance(order, Sequence) and order else steps


def _leave_closed(findings: Findings, remedy: Remedy) -> Job:
    """Return what to hand to a workshop, for a fork that must stay closed at home."""
    advice = next(iter(findings.get("advice") or ()), {})
    order = at(findings, "service", "order") if _is_oil(remedy) else advice.get("steps")
    return (
        tell("**Leave the fork closed.** Opening it is work for a licensed workshop: it can hold gas or oil under "
             "pressure."), "",
        numbered(order if isinstance(order, Sequence) and order else
                 (tell("Take the bike and this letter to a licensed workshop."),)))


def _expected(findings: Findings, remedy: Remedy) -> str:
    """Return the prediction with its band, so that it can be held against what happens."""
    if remedy.see:
        return bullets(remedy.see)
    items = [sentence(str(advice["expect"])) for advice in (findings.get("advice") or ())[:1] if advice.get("expect")]
    now = [tell(template, length=quantity(at(findings, "fork", key, "found"), "mm")) for template, key in (
        ("hard braking reaches {length}", "usable_stroke_mm"), ("rider sag is {length}", "rider_sag_mm"))
        if at(findings, "fork", key, "found") is not None]
    if items and now:
        items.append(tell("Now, by our reckoning, {now}.", now=listed(now)))
    return bullets(items or [tell("The complaint should be clearly smaller. We could not work out a number: tell us "
                                  "what you measure.")])


def _undo(words: str, case: Case | None) -> str:
    held = [f"{fact.title}: {plain(fact.value)} ({fact.known})." for fact in baseline(case)] if case else []
    return paragraphs(
        tell("Before anything is changed, write down every setting: clicks, turns, tube heights, tyre pressures."),
        *((tell("This is what we have on file:"), bullets(held)) if held else ()), sentence(words))
