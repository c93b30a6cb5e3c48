"""The letter's first wording: safety first, an honest answer, one thing to do, no advice where there must be none."""
from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.document import parse_case
from reports import markup
from reports.letter_parts import answer_line, plain, safety_line
from reports.phrases import exact, number, odds_in_words, percent, quantity, span, with_span
from reports.remedies import REMEDIES
from reports.wording import BOUNDARIES, letter_text

HEAD = {"number": "FB-7K3QX9", "round": 2, "rider_name": "Rider", "date": "3 May 2026", "tuner": "Tuner"}
FORK = {"usable_stroke_mm": {"found": 96.0, "advised": 139.0}, "rider_sag_mm": {"found": 41.0, "advised": 44.0}}
SERVICE = {"order": ["Open the cap slowly", "Draw off 100 ml from the left leg"], "workshop_only": False}
CAUSES = [{"name": "over-filled", "title": "Too much oil", "probability": 0.91, "remedy": "oil",
           "moved_by": ["Rider sag is normal"]},
          {"name": "coil bind", "title": "Coil bind", "probability": 0.06, "remedy": "spring", "moved_by": []}]


def findings(**more):
    base = {"verdict": {"kind": "cause", "cause": "over-filled", "words": "Most likely: too much oil (about 9 in 10).",
                        "why_open": []},
            "stop_riding": False, "stop_reasons": [], "ride_gently": None, "causes": CAUSES, "fork": FORK,
            "service": SERVICE, "advice": [{"title": "Set the oil level", "steps": ["Draw off 100 ml"],
                                            "expect": "Hard braking should reach 135 to 142 mm."}],
            "cautions": ["The cap is under spring force"], "assumed": [], "doubts": [], "disagreements": [],
            "missing": [], "next_test": None}
    return base | more


def case(**parts):
    document = {"rider": {"can": ["helper", "tape", "stand", "caps"]},
                "fork": {side: {"oil_level_mm": {"value": "1.65 in", "known": "measured"},
                                "preload_turns_in": {"value": 3, "known": "remembered"}} for side in ("left", "right")},
                "bench": {"travel": {"used_mm": 101, "end_feel": "stops dead"}}}
    return parse_case(document | parts)


def letter(case_=None, **more):
    return letter_text(findings(**more), HEAD, case_).replace("\N{NO-BREAK SPACE}", " ")


def part(text, title):
    """What stands under one heading."""
    return text.split(f"## {title}\n")[1].split("\n## ")[0] if f"## {title}\n" in text else ""


OPEN = {"verdict": {"kind": "cannot tell yet", "cause": "over-filled", "words": "We cannot tell yet.",
                    "why_open": ["Two stories are nearly as likely"]},
        "next_test": {"name": "sag", "title": "Free sag and rider sag", "why": "It tells springs from oil.",
                      "minutes": 20, "expect": [{"cause": "over-filled", "words": "36 to 43 mm"}]}, "advice": []}
STOP = {"verdict": {"kind": "stop", "cause": None, "words": "Do not ride. A cracked part can break.", "why_open": []},
        "stop_riding": True, "stop_reasons": [{"name": "crack", "end": "front", "reason": "A cracked part can break.",
                                               "do": "Do not ride the bike. Have a licensed workshop look at it."}]}
CLASH = {"verdict": {"kind": "do not fit together", "cause": None, "words": "Some answers do not fit.", "why_open": []},
         "disagreements": [{"between": ["free sag", "rider sag"], "words": "Free sag is larger than rider sag",
                            "ask": "Were the two readings swapped?"},
                           {"between": ["a", "b"], "words": "Another pair", "ask": "Another question?"}]}


def test_safety_comes_first_and_the_answer_second():
    lines = [line for line in letter(ride_gently="Ride gently until this is put right").split("\n\n")]
    assert lines[1] == "**Riding:** Ride gently until this is put right."
    assert lines[2] == "**Our answer:** Most likely: too much oil (about 9 in 10, 91 %)."


def test_no_concern_is_said_as_well():
    assert "nothing in your answers that speaks against riding" in safety_line(findings())


def test_a_letter_with_a_remedy_has_every_part_in_its_order():
    assert re.findall(r"^## (.+)$", letter(case()), re.M) == [
        "What this rests on", "What speaks against it, and what we could not tell", "The one thing to do now",
        "What you should see", "What to send back", "If you see something else", "When to stop", "How to undo it",
        "What this letter is and is not"]


def test_facts_are_the_riders_own_with_how_they_are_known():
    facts = part(letter(case()), "What this rests on")
    assert "Travel used on your ride: 101 mm (you measured it)." in facts
    assert "Oil level now, both legs: 41.9 mm (you wrote 1.65 in) (you measured it)." in facts


def test_an_answer_that_says_nothing_is_no_fact_and_a_told_one_is_not_from_papers():
    unsure = case(bench={"travel": {"used_mm": 101, "end_feel": "cannot tell"}},
                  complaint={"symptoms": ["dives"]})
    facts = part(letter(unsure), "What this rests on")
    assert "How the travel ended" not in facts
    assert "What bothers you: It dives under braking (you told us)." in facts


@pytest.mark.parametrize(("condition", "said"), [("extended spring out", True), ("compressed spring out", False)])
def test_a_level_read_in_another_way_than_the_papers_read_it_says_so(condition, said):
    facts = part(letter(case(bench={"oil": {"condition": condition}})), "What this rests on")
    assert ("How was the leg when you measured: Fully extended, spring out (you saw it)." in facts) == said
    assert ("when you measured" in facts) == said


def test_what_speaks_against_is_never_empty():
    assert "Still possible: Coil bind, about 1 in 10, 6 %." in part(
        letter(), "What speaks against it, and what we could not tell")
    alone = letter(causes=CAUSES[:1])
    assert "one wrong reading could change the answer" in part(
        alone, "What speaks against it, and what we could not tell")


def test_an_assumption_for_both_legs_is_said_once():
    rows = [{"path": f"fork.{side}.cap_intrusion_ml", "value": 18.0, "unit": "ml", "reason": "Usual"}
            for side in ("left", "right")]
    assert letter(assumed=rows).count("We had to assume") == 1
    assert "volume of the cap inside the tube, both legs: 18 ml. Usual." in letter(assumed=rows)


def test_the_remedy_has_quantity_tolerance_time_and_tools():
    doing = part(letter(case()), "The one thing to do now")
    for needed in ("Draw off 100 ml", "Within 2 mm".lower(), "60 to 90 minutes", "a syringe", "under spring force"):
        assert needed in doing


def test_the_prediction_has_its_band_and_where_it_stands_now():
    seen = part(letter(), "What you should see")
    assert "135 to 142 mm" in seen and "hard braking reaches 96 mm" in seen


def test_the_settings_to_go_back_to_are_listed():
    undo = part(letter(case(shock={"preload_turns_in": 4}, tyres={"pressure_front_bar": 2.5})), "How to undo it")
    assert "Preload: turns in from right out, both legs: 3 (from memory)." in undo
    assert "Rear preload: turns or steps in from right out: 4 (from papers)." in undo
    assert "Front tyre pressure: 2.5 bar (from papers)." in undo


@pytest.mark.parametrize("missing", ["caps", "stand"])
def test_who_cannot_open_a_fork_safely_is_sent_to_a_workshop(missing):
    can = [skill for skill in ("helper", "tape", "stand", "caps") if skill != missing]
    doing = part(letter(case(rider={"can": can})), "The one thing to do now")
    assert "workshop" in doing and "Open the cap" not in doing


def test_a_sealed_fork_is_never_opened_at_home():
    order = ["Do not open these legs at home", "Take them to a licensed workshop"]
    text = letter(case(), service={"workshop_only": True, "order": order})
    assert "Leave the fork closed." in text
    assert "Draw off" not in text and "syringe" not in text and "Open the cap" not in text


@pytest.mark.parametrize("remedy", list(REMEDIES))
def test_every_remedy_says_what_to_send_back_what_else_may_come_and_how_to_undo_it(remedy):
    text = letter(causes=[CAUSES[0] | {"remedy": remedy}], advice=[], service=None)
    sent = part(text, "What to send back").strip().split("\n")
    assert 3 <= len(sent) <= 5 and "photo" in "".join(sent)
    assert part(text, "If you see something else").count("\n- ") == 2
    assert part(text, "The one thing to do now") and part(text, "How to undo it")


@pytest.mark.parametrize("end", ["front", "rear", "both"])
def test_a_stop_leaves_only_the_do_not_ride_letter(end):
    text = letter(case(), **STOP | {"stop_reasons": [STOP["stop_reasons"][0] | {"end": end}]})
    assert text.split("\n\n")[1] == "**Do not ride this motorcycle.** Go to a licensed workshop."
    assert "A cracked part can break." in text and "licensed workshop look at it" in text
    for advice in ("Draw off", "Set the oil", "Most likely", "What you should see", "Too much oil", "135"):
        assert advice not in text


def test_cannot_tell_yet_gives_no_remedy_but_one_test_with_its_steps_and_why():
    text = letter(case(), **OPEN)
    doing = part(text, "The one thing to do now")
    assert "It tells springs from oil." in doing and "about 20 minutes" in doing
    assert "1. Mark two points" in doing and "Safety first" in doing
    assert "Too much oil: 36 to 43 mm." in part(text, "What each result would mean")
    assert "Two stories are nearly as likely." in part(text, "Why it is still open")
    assert "Draw off" not in text and "How to undo it" not in text


def test_a_test_that_is_not_for_the_rider_is_not_taught():
    opened = OPEN | {"next_test": OPEN["next_test"] | {"name": "oil", "by_workshop": True}}
    doing = part(letter(case(), **opened), "The one thing to do now")
    assert "workshop do it" in doing and "Open one cap" not in doing


def test_without_a_test_left_it_asks_for_what_is_missing():
    gap = {"missing": [{"path": "bike.mass_kg", "title": "Mass, ready to ride", "why": "It sets the sag"}]}
    assert "Mass, ready to ride. It sets the sag." in part(letter(**OPEN | {"next_test": None} | gap),
                                                            "The one thing to do now")
    assert "workshop" in part(letter(**OPEN | {"next_test": None}), "The one thing to do now")


def test_what_is_missing_at_one_leg_names_the_leg():
    rows = [{"path": f"fork.{side}.oil_level_mm", "title": "Oil level", "why": ""} for side in ("left", "right")]
    against = part(letter(missing=rows), "What speaks against it, and what we could not tell")
    assert "Not known: Oil level, left leg." in against and "Not known: Oil level, right leg." in against


def test_a_test_whose_name_is_a_question_is_asked_and_its_answers_are_offered():
    asked = {"name": "bottoming", "title": "Was the very end ever reached?", "why": "It tells", "minutes": 30}
    text = letter(case(), **OPEN | {"next_test": asked})
    assert "**Was the very end ever reached?** It takes about 30 minutes." in text and "?." not in text
    assert "The putty was: untouched / " in part(text, "What to send back")
    assert "and a tape measure." in part(text, "The one thing to do now")


def test_answers_that_do_not_fit_lead_to_one_kind_question():
    text = letter(case(), **CLASH)
    assert "Were the two readings swapped?" in text and "we may have misread one" in text
    assert "Another" not in text and "Draw off" not in text


@pytest.mark.parametrize("kind", [{}, OPEN, STOP, CLASH])
def test_every_letter_says_what_it_is_not(kind):
    text = letter(case(), **kind)
    assert all(str(words) in text for words in BOUNDARIES)
    assert text.rstrip().endswith("Case FB-7K3QX9, round 2, 3 May 2026, Tuner")


@pytest.mark.parametrize("kind", [{}, OPEN, STOP, CLASH])
def test_no_letter_blames_or_uses_codes(kind):
    text = letter(case(), **kind).lower()
    assert not re.search(r"botched|your fault|should have|obviously|stupid|none\b.*null|\bnan\b|over-filled", text)
    assert all(len(sentence.split()) < 45 for sentence in re.split(r"[.:;\n]", text))


def test_almost_empty_findings_still_make_a_letter():
    text = letter_text({"verdict": {"kind": "cannot tell yet"}}, {}, None)
    assert text.startswith("Hello,\n\n**Riding:**") and "We cannot tell yet." in text


@given(st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=60))
def test_a_riders_name_is_never_read_as_marks(name):
    greeting = markup.blocks(letter_text(findings(), {"rider_name": name}, None))[0]
    told = "".join(span["text"] for span in greeting["spans"])
    assert greeting["kind"] == "paragraph"
    assert told == (f"Hello {' '.join(name.split())}," if name.split() else "Hello,")
    assert not any(span["bold"] or span["italic"] for span in greeting["spans"])


@pytest.mark.parametrize("probability, words, share", [
    (0.0, "less than 1 in 100", "under 1 %"), (0.03, "about 3 in 100", "3 %"), (0.1, "about 1 in 10", "10 %"),
    (0.33, "about 3 in 10", "33 %"), (0.5, "about 5 in 10", "50 %"), (0.91, "about 9 in 10", "91 %"),
    (0.97, "about 97 in 100", "97 %"), (1.0, "more than 99 in 100", "over 99 %")])
def test_odds_are_said_in_words_and_percent(probability, words, share):
    assert odds_in_words(probability) == words
    assert percent(probability).replace("\N{NO-BREAK SPACE}", " ") == share


@given(st.floats(0, 1))
def test_odds_in_words_are_never_further_off_than_five_in_a_hundred(probability):
    hits, of = (int(word) for word in re.findall(r"\d+", odds_in_words(probability)))
    assert abs(hits / of - probability) <= 0.0501


def test_odds_outside_nought_to_one_are_refused():
    with pytest.raises(ValueError, match="1.2"):
        odds_in_words(1.2)


def test_numbers_read_as_people_write_them():
    assert number(-0.2) == "0" and number(-3.0) == "−3" and number(None) == "not known"
    assert number(float("nan")) == "not known"
    assert quantity(80.2, "mm") == "80\N{NO-BREAK SPACE}mm"
    assert exact(0.42, "") == "0.42" and exact(1.25, "mm**2") == "1.25\N{NO-BREAK SPACE}mm²"
    assert span(74.1, 86.6, "mm") == "74 to 87\N{NO-BREAK SPACE}mm" and span(3.1, 3.2, "mm") == "3\N{NO-BREAK SPACE}mm"
    assert with_span(80.0, None, "mm") == "80\N{NO-BREAK SPACE}mm"


def test_a_sure_cause_without_odds_in_its_words_gets_them():
    words = {"kind": "cause", "cause": "over-filled", "words": "Almost certainly: too much oil."}
    sure = findings(verdict=words, causes=[CAUSES[0] | {"probability": 0.98}])
    assert answer_line(sure) == "Almost certainly: too much oil (about 98 in 100)."


def test_plain_keeps_what_was_typed():
    assert markup.plain(plain("1. *two* <b> # three")).strip() in ("1. *two* <b> # three", "*two* <b> # three")
