"""Every cause has its own advice and remedy, and its letter reads as one: right tools, right end of the bike."""
from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest

from analysis import analyse, engine, parse_case
from analysis.causes import CAUSES
from analysis.posterior import assess
from analysis.verdict import Verdict
from reports.remedies import REMEDIES
from reports.remedies_by_cause import BY_CAUSE, remedy_for
from reports.service_sheet import sheet_data
from reports.wording import letter_text
from tests.reference_fork import case as reference_case

NAMES = [cause.name for cause in CAUSES]
BY_NAME = {cause.name: cause for cause in CAUSES}
ELSEWHERE = ("rear spring or height", "rear linkage stuck", "worn shock", "tyre, bearing or brake", "overloaded")
HEAD = {"number": "FB-7K3QX9", "round": 1, "rider_name": "Rider", "date": "3 May 2026", "tuner": "Tuner"}
OPENS = re.compile(r"(?i)\b(open|loosen|unscrew|undo|remove)\b[^.;:\n]*\b(caps?|legs?|damper|cartridge|shock|bleed)\b")
SAFE = re.compile(r"(?i)\bnever\b|\bnot to be\b|workshop|^- the fork cap|\bdo not (open|start)\b")
"""Sentences that forbid it, or give it away."""


def document(name, sealed):
    """The reference fork as its rider tells of it, with the springs that the cause needs."""
    air = BY_NAME[name].only_for == "air"
    return reference_case(
        both={"gauge_pressure_bar": 3.0, "oil_level_mm": 140} if air else {"oil_level_mm": 100},
        fork={"springing": "air" if air else "coil", "damper": "sealed cartridge" if sealed else "damper rod"},
        rider={"can": ["helper", "stand", "caps", "tape", "ride"]},
        bench={"travel": {"used_mm": 101}, "sag": {"rider_from_below_mm": 34, "rider_from_above_mm": 42}})


@cache
def findings_for(name, sealed=False):
    """Return whole findings in which the engine names this cause."""
    found = parse_case(document(name, sealed))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "verdict", lambda *_: Verdict(
            "cause", name, f"Most likely: {BY_NAME[name].title.lower()} (about 8 in 10).", ()))
        # The cause is given, so its odds may be rough.
        patch.setattr(engine, "assess", lambda case, inputs, rng, *_, **__: assess(case, inputs, rng, 60))
        return found, analyse(found, np.random.default_rng(3)).as_document()


def letter(name, sealed=False):
    case, findings = findings_for(name, sealed)
    return letter_text(findings, HEAD, case).replace("\N{NO-BREAK SPACE}", " ")


def part(text, title):
    return text.split(f"## {title}\n")[1].split("\n## ")[0] if f"## {title}\n" in text else ""


@pytest.mark.parametrize("name", NAMES)
def test_every_cause_has_advice_and_a_remedy_of_its_group(name):
    assert findings_for(name)[1]["advice"]
    assert BY_NAME[name].remedy in REMEDIES
    assert remedy_for(name, BY_NAME[name].remedy) in (REMEDIES[BY_NAME[name].remedy], BY_CAUSE.get(name))


def test_no_remedy_is_left_over():
    assert set(BY_CAUSE) <= set(NAMES)
    assert set(REMEDIES) == {cause.remedy for cause in CAUSES}


@pytest.mark.parametrize("name", NAMES)
def test_its_letter_has_every_part_and_no_leftovers(name):
    text = letter(name)
    parts = re.findall(r"^## (.+)$", text, re.M)
    assert len(parts) == 9 and all(part(text, title).strip() for title in parts)
    assert f"Most likely: {BY_NAME[name].title.lower()}" in text
    assert not re.search(r"None\b(?! )|\bnan\b|\{|\}|__|\.\.|\bnull\b|  [a-z]| ,|\( ", text)
    assert 3 <= part(text, "What to send back").count("\n- ") <= 5
    assert part(text, "If you see something else").count("\n- ") == 2
    assert "\n1. " in part(text, "The one thing to do now")


@pytest.mark.parametrize("name", ELSEWHERE)
def test_a_cause_outside_the_fork_is_put_right_there_and_leaves_the_fork_alone(name):
    text = letter(name)
    doing = part(text, "The one thing to do now")
    for of_the_fork in ("fork cap", "syringe", "oil level", "draw off", "both legs", "service sheet"):
        assert of_the_fork not in doing.lower()
    assert "Under hard braking the fork should reach" not in part(text, "What you should see")
    assert findings_for(name)[1]["service"] and sheet_data(findings_for(name)[1]) is None
    assert sheet_data(findings_for("over-filled")[1])


@pytest.mark.parametrize("name", [cause.name for cause in CAUSES if cause.remedy == "rear"])
def test_a_rear_cause_speaks_of_the_rear(name):
    for title in ("The one thing to do now", "What you should see", "What to send back"):
        assert re.search(r"(?i)\brear\b|\bshock\b", part(letter(name), title))


@pytest.mark.parametrize("name", NAMES)
def test_no_letter_on_a_sealed_or_pressurised_fork_tells_anyone_to_open_it(name):
    for sentence in re.split(r"(?<=[.;:])\s|\n", letter(name, sealed=True)):
        assert not OPENS.search(sentence) or SAFE.search(sentence), sentence


@pytest.mark.parametrize("name", [cause.name for cause in CAUSES
                                  if remedy_for(cause.name, cause.remedy).opens_the_fork])
def test_on_a_sealed_fork_the_workshop_reports_and_nobody_corrects_the_oil_at_home(name):
    text = letter(name, sealed=True)
    assert "What the workshop found" in part(text, "What to send back")
    assert "before you changed anything" not in text and "Raise the level" not in text and "label" not in text
    assert "Nothing is opened at home" in part(text, "If you see something else")


@pytest.mark.parametrize("name", ["worn shock", "worn damper", "too much air pressure", "too little air pressure"])
def test_a_unit_that_holds_gas_is_left_closed(name):
    doing = part(letter(name), "The one thing to do now")
    assert re.search(r"closed at home|never opened|[Nn]ever open or unscrew|never unscrewed", doing)
    assert "holds gas" in doing or "only its valve" in doing


@pytest.mark.parametrize("name, circuit, way", [
    ("too much compression damping", "compression", "out"), ("too little compression damping", "compression", "in"),
    ("rebound too slow", "rebound", "out"), ("rebound too fast", "rebound", "in")])
def test_the_clicks_go_the_right_way_and_back_again(name, circuit, way):
    text = letter(name)
    assert f"Turn the {circuit} {way} by 2 clicks" in part(text, "The one thing to do now")
    assert "Turn back to the clicks you wrote down." in part(text, "How to undo it")


def test_where_the_preload_is_at_its_end_the_letter_hands_the_spacers_to_a_workshop():
    case, findings = findings_for("too much preload")
    at_its_end = findings | {"advice": [{**findings["advice"][0], "title": "Have the spacers shortened", "steps": [
        "A workshop fits spacers that are 5 mm shorter in each leg."], "by_workshop": True}]}
    text = letter_text(at_its_end, HEAD, case)
    todo = part(text, "The one thing to do now")
    assert "in a workshop" in todo and "5 mm shorter" in todo and "Turn only the adjuster" not in text
    assert "Length of the spacers" in part(text, "What to send back") and "Turns changed" not in text
    assert "labelled by leg" in part(text, "How to undo it")


def test_a_letter_that_turns_on_a_units_doubt_asks_for_the_unit():
    told = parse_case(reference_case({"oil_level_mm": 5.5}))
    text = letter_text(analyse(told, np.random.default_rng(1)).as_document(), HEAD, told)
    todo = text.partition("The one thing to do now")[2].partition("##")[0]
    assert todo.count("Did you mean 5.5 in?") == 1


@pytest.mark.parametrize("name", ["too little oil", "unequal oil", "over-filled"])
def test_oil_that_was_added_can_be_undone_too(name):
    assert "draw off what you added" in part(letter(name), "How to undo it")
    assert "write down what you added" in letter(name)
    assert name == "over-filled" or "too much has come out" not in letter(name)
