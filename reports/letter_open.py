"""The letters without a remedy: one test to do, one question to answer, or a bike that must not be ridden."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from analysis.case import Case
from analysis.catalogue import BENCH_TESTS, BenchTest, Question
from analysis.state import kept_closed
from reports.bound import clean
from reports.letter_parts import (
    STOP_WHEN,
    Block,
    Findings,
    against,
    asked,
    bullets,
    facts,
    gap_title,
    numbered,
    opening,
    paragraphs,
    rests_on,
    safety_line,
    section,
)
from reports.phrases import at, listed, odds, quantity, sentence
from reports.tongue import inside, tell

BY_WORKSHOP = (_("By what you told us this is not for you to do at home. Please have a workshop do it, and ask "
                   "for the numbers of each leg in writing."))


def test_letter(findings: Findings, case: Case | None) -> list[Block]:
    """Return the letter of a case that is still open: one test to do."""
    planned = findings.get("next_test") or {}
    return [
        *opening(findings),
        *section("rests on", tell("What this rests on"), paragraphs(rests_on(findings, case), _contest(findings))),
        *section("why open", tell("Why it is still open"), bullets(
            [sentence(str(reason)) for reason in at(findings, "verdict", "why_open") or ()]) or against(findings)),
        *(_next_test(planned, findings, case) if planned else _no_test(findings)),
        *section("stop when", tell("When to stop"),
                 paragraphs(tell("Stop, and write to us, when"), bullets(STOP_WHEN))),
    ]


def _contest(findings: Findings) -> str:
    """Return the causes that are still in the running."""
    rows = [cause for cause in findings.get("causes") or () if cause["probability"] >= 0.05][:3]
    return paragraphs(tell("Still in the running:"), bullets(
        f"{cause['title']}: {odds(cause['probability'])}." for cause in rows)) if rows else ""


def _next_test(planned: Mapping[str, Any], findings: Findings, case: Case | None) -> list[Block]:
    test = next((test for test in BENCH_TESTS if test.name == planned["name"]), None)
    minutes = planned.get("minutes") or (test.minutes if test else None)
    title = sentence(str(planned["title"]))
    head = paragraphs(
        tell("**{title}** It takes about {minutes} minutes.", title=title, minutes=quantity(minutes, ""))
        if minutes else f"**{title}**",
        tell("Why this one: {why}", why=sentence(str(planned["why"]))),
        tell("Please change nothing on the bike before you have done it."))
    titles = {cause["name"]: cause["title"] for cause in findings.get("causes") or ()}
    expect = bullets(sentence(f"{titles.get(row['cause']) or tell(row['cause'])}: {row['words']}")
                      for row in planned.get("expect") or ())
    given_away = planned.get("by_workshop") or test is not None and _is_barred(test, case)
    steps = (BY_WORKSHOP,) if given_away else _test_steps(test) if test else ()
    return [
        *section("do", tell("The one thing to do now"), paragraphs(head, *steps)),
        *section("results mean", tell("What each result would mean"), expect),
        *section("send back", tell("What to send back"), bullets(_answers_wanted(test)) if test else ""),
    ]


def _is_barred(test: BenchTest, case: Case | None) -> bool:
    """Tell whether the test opens a fork that only a workshop may open."""
    return "caps" in test.needs and case is not None and bool(kept_closed(case))


def _test_steps(test: BenchTest) -> tuple[str, ...]:
    return (tell("You need {tools}.", tools=listed([inside(tool) for tool in test.tools])),
            tell("**Safety first:** {safety}", safety=tell(test.safety)), numbered(map(tell, test.steps)),
            tell("If you cannot do it, write \"cannot\" and we use another way. Not doing a test is a useful answer."))


def _answers_wanted(test: BenchTest) -> list[str]:
    levels = [tell("Oil level in each leg, in mm")] if test.name == "oil" else []
    asked = [_wanted(question) for question in test.questions
             if question.kind != "text" and not question.title.startswith("Or: ")]
    return [f"{title}." for title in [*levels, *asked][:5]] + [tell("One photo of what you measured.")]


def _wanted(question: Question) -> str:
    """Return what to write down for a question: its unit, or the answers to choose from."""
    title = tell(question.title).strip("¿?")
    if question.unit:
        return tell("{title}, in {unit}", title=title, unit=question.unit)
    return f"{title}: {' / '.join(inside(choice.title) for choice in question.choices)}" if question.choices else title


def _no_test(findings: Findings) -> list[Block]:
    """Return what to ask where no test is left that the rider can do safely."""
    doubted = {clean(one): one for one in (sentence(str(row["question"])) for row in findings.get("doubts") or ())}
    missing = [*list(doubted.values())[:2], *(f"{gap_title(row)}. {sentence(str(row.get('why') or ''))}".strip()
                                     for row in findings.get("missing") or ())][:3]
    if missing:
        return section("do", tell("The one thing to do now"), paragraphs(
            tell("Please tell us this, if you can. \"Not known\" is a good answer, too."), bullets(missing)))
    return section("do", tell("The one thing to do now"), tell(
        "There is no test left that you could do safely at home. Please take the bike and this letter to a workshop, "
        "and ask for oil level, spring and stroke of each leg in numbers."))


def question_letter(findings: Findings, case: Case | None) -> list[Block]:
    """Return one kind question about the answers that do not fit together."""
    first = next(iter(findings.get("disagreements") or ()), {})
    ask = sentence(str(first.get("ask") or tell("Could you look at both once more and tell us which one is right?")))
    between = [asked(str(path)) for path in first.get("between") or ()]
    return [
        Block("riding", tell("**Riding:** {safety}", safety=safety_line(findings))),
        Block("answer", tell("**Our answer:** We cannot tell yet. Two of your answers do not fit together for us; we "
                             "may have misread one.")),
        *section("which two", tell("Which two"), paragraphs(
            sentence(str(first.get("words") or "")),
            tell("It is about {between}.", between=listed(between)) if between else "")),
        *section("do", tell("The one thing to do now"), paragraphs(
            tell("Thank you for the trouble you have taken. One question, because our answer turns on it: {ask}",
                 ask=ask),
            tell("If you cannot say, write \"cannot\" and we use another way."),
            tell("Please change nothing on the bike until then."))),
        *section("rests on", tell("What this rests on"), rests_on(findings, case)),
    ]


def stop_letter(findings: Findings, case: Case | None) -> list[Block]:
    """Return the letter of a bike that must not be ridden: reasons, what to do, no setting to change."""
    reasons = findings.get("stop_reasons") or ()
    todo = list({clean(one): one for one in (sentence(str(reason["do"])) for reason in reasons if reason.get("do"))}
                .values())
    todo = todo or [tell("Do not ride the bike. Have a licensed workshop look at it before it is ridden again.")]
    return [
        Block("riding", tell("**Do not ride this motorcycle.** Go to a licensed workshop.")),
        *section("why", tell("Why"), bullets(sentence(str(reason["reason"])) for reason in reasons)
                  or sentence(str(at(findings, "verdict", "words") or ""))),
        *section("do now", tell("What to do now"),
                  numbered([*todo, tell("Show the workshop this letter and ask for what it found in writing")])),
        *section("later", tell("What we leave for later"), tell(
            "We give no setting to change in this letter. Once the workshop has put this right, tell us what it found "
            "and we look at the rest of your complaint.")),
        *section("told us", tell("What you told us"), bullets(facts(case))),
    ]
