"""What every kind of letter is built from: marks, safety line, answer line, facts and doubts."""
from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from analysis.case import Case
from analysis.catalogue import QUESTIONS
from reports.bound import PRIVATE
from reports.facts import telling_facts
from reports.phrases import at, exact, odds, percent, quantity, sentence
from reports.told_by import a_shop_has_the_bike
from reports.tongue import inside, tell

Findings = Mapping[str, Any]

NO_CONCERN = (_("We see nothing in your answers that speaks against riding. Look the bike over yourself before "
                  "each ride, as always."))
STOP_WHEN = (
    _("a step is not clear, or does not go as written;"),
    _("the fork or the shock sticks, stops dead, knocks or leaks;"),
    _("there is oil on disc, pads or tyre;"),
    _("a bolt cannot be tightened to the figure in your manual."),
)


@dataclass(frozen=True)
class Block:
    """A part of a letter that stands by itself: one idea, under one name."""

    name: str
    text: str


def plain(text: str) -> str:
    """Return a person's own words so that none of them reads as a mark of the letter."""
    return re.sub(r"([\\*_`#\[\]<>])", r"\\\1", " ".join(PRIVATE.sub("", text).split()))


def section(name: str, title: str, body: str) -> list[Block]:
    """Return a heading and its body as one block, or nothing where there is no body."""
    return [Block(name, f"## {title}\n\n{body}")] if body else []


def bullets(items: Iterable[str]) -> str:
    """Return a list with a mark at each item."""
    return "\n".join(f"- {item}" for item in items if item)


def numbered(items: Iterable[str]) -> str:
    """Return a numbered list of whole sentences."""
    return "\n".join(f"{place}. {sentence(item)}" for place, item in enumerate(items, start=1))


def paragraphs(*parts: str) -> str:
    """Return the parts that say something, one paragraph each."""
    return "\n\n".join(str(part) for part in parts if part)


def safety_line(findings: Findings) -> str:
    """Return whether to ride, in one line: the first thing a letter and a desk say."""
    if findings.get("stop_riding"):
        return tell("Do not ride this motorcycle.")
    return sentence(str(findings.get("ride_gently") or NO_CONCERN))


def answer_line(findings: Findings) -> str:
    """Return the verdict with its odds in words and percent."""
    words = sentence(str(at(findings, "verdict", "words") or tell("We cannot tell yet.")))
    cause = leading(findings)
    judged = "engines_verdict" in findings  # a tuner's judgement has no odds, and the engine's are for another cause
    if cause is None or judged or at(findings, "verdict", "kind") != "cause" or "%" in words:
        return words
    if words.endswith(")."):  # the odds in words stand there already, whatever the language ends them with
        return f"{words[:-2]}, {percent(cause['probability'])})."
    return f"{words[:-1]} ({odds(cause['probability'])})."


def opening(findings: Findings) -> list[Block]:
    """Return the two lines that come first: whether to ride, and the answer."""
    return [Block("riding", tell("**Riding:** {safety}", safety=safety_line(findings))),
            Block("answer", tell("**Our answer:** {answer}", answer=answer_line(findings)))]


def leading(findings: Findings) -> Mapping[str, Any] | None:
    """Return the verdict's cause, or the likeliest where there is none."""
    causes = findings.get("causes") or ()
    named = at(findings, "verdict", "cause")
    return next((cause for cause in causes if cause["name"] == named), causes[0] if causes else None)


def rests_on(findings: Findings, case: Case | None) -> str:
    """Return the rider's own facts, and what weighed most for the leading cause."""
    told = facts(case)
    rider_mm = at(findings, "sag", "rider_mm")
    if isinstance(rider_mm, float) and not any(fact.startswith(tell("Rider sag")) for fact in told):
        read = (tell("Rider sag: {rider_mm} (from the readings).", rider_mm=quantity(rider_mm, "mm"))
                if a_shop_has_the_bike() else
                tell("Rider sag: {rider_mm} (from your readings).", rider_mm=quantity(rider_mm, "mm")))
        told.insert(min(2, len(told)), read)
    moved = (leading(findings) or {}).get("moved_by") or ()
    pointing = paragraphs(tell("What weighed most:"), bullets(sentence(str(reason)) for reason in moved))
    return paragraphs(bullets(told[:5]), pointing if moved else "")


def facts(case: Case | None) -> list[str]:
    """Return the most telling answers, each with how it is known."""
    return [f"{fact.title}: {plain(fact.value)} ({fact.known})." for fact in telling_facts(case)] if case else []


def against(findings: Findings) -> str:
    """Return doubts, other causes, assumptions and gaps; there is always something that we could not tell."""
    others = [cause for cause in findings.get("causes") or () if cause is not leading(findings)]
    items = [tell("Still possible: {title}, {probability}.", title=cause["title"],
                  probability=odds(cause["probability"])) for cause in others[:2]
             if cause["probability"] >= 0.02]
    items += [sentence(str(gap["words"])) for gap in findings.get("disagreements") or ()]
    items += [tell("**We had to assume** {words}", words=words) for words in assumptions(_weighty(findings))[:4]]
    items += [sentence(str(doubt["question"])) for doubt in (findings.get("doubts") or ())[:2]]
    items += [tell("Not known: {title}. {why}", title=gap_title(row), why=sentence(str(row.get("why") or ""))).strip()
              for row in (findings.get("missing") or ())[:3]]
    return bullets(items or [tell("Nothing in your answers speaks against it. But we have only words and numbers: "
                                  "one wrong reading could change the answer.")])


def _weighty(findings: Findings) -> Findings:
    """Return the findings without assumptions of nothing: that no air was pumped in is no doubt."""
    return {"assumed": [row for row in findings.get("assumed") or () if row["value"]]}


def gap_title(row: Mapping[str, Any]) -> str:
    """Return what is missing, with its leg."""
    side = next((side for side in ("left", "right") if f".{side}." in str(row.get("path"))), "")
    return tell("{title}, {side} leg", title=row["title"], side=tell(side)) if side else str(row["title"])


def asked(path: str) -> str:
    """Return the question's title in the middle of a sentence, with its leg."""
    question = QUESTIONS.get(path.replace("{side}", "left"))
    title = inside(question.title if question else path).strip("¿?")
    side = next((side for side in ("left", "right") if f".{side}." in path), "")
    return tell("{title}, {side} leg", title=title, side=tell(side)) if side else title


def assumptions(findings: Findings) -> list[str]:
    """Return what the engine had to assume, in words; what is the same for both legs is said once."""
    rows = findings.get("assumed") or ()
    twins = {(row["path"], row["value"]) for row in rows}
    told = []
    for row in rows:
        other = row["path"].replace(".right.", ".left.")
        if other != row["path"] and (other, row["value"]) in twins:
            continue
        mirrored = (row["path"].replace(".left.", ".right."), row["value"]) in twins and ".left." in row["path"]
        name = tell("{title}, both legs", title=asked(row["path"].replace(".left.", ".{side}."))) if mirrored else (
            asked(row["path"]))
        told.append(f"{name}: {exact(row['value'], row['unit'])}. {sentence(str(row['reason']))}")
    return told
