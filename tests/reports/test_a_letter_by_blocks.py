"""A letter is written in blocks from the findings; on new ones, only what a tuner touched is left to be settled."""
from __future__ import annotations

from typing import Any

import pytest
from django.utils.translation import override

from analysis.say import phrases_in, say
from intake.errors import Refused
from reports import services
from reports.models import Letter
from reports.services import drafting, letters
from reports.wording import joined, letter_blocks
from tests.letter_cases import PDF, drafted_letter, figures, handed_in, handed_in_again, tuner
from tests.letter_cases import findings as small

pytestmark = pytest.mark.django_db
NBSP = "\N{NO-BREAK SPACE}"


def findings(stroke: float = 96.0, draw: str = "100", **more: Any) -> dict[str, Any]:
    advice = [{"title": "Set the oil level", "steps": [say("Draw off {ml} ml of each leg", ml=draw)],
               "expect": say("Hard braking should reach {low} to {high} mm.", low="135", high="142")}]
    causes = [{"name": "over-filled", "title": "Too much oil", "probability": 0.91, "remedy": "oil", "moved_by": []},
              {"name": "coil bind", "title": "Coil bind", "probability": 0.06, "remedy": "spring", "moved_by": []}]
    return small(fork={"usable_stroke_mm": {"found": stroke, "advised": 139.0},
                       "rider_sag_mm": {"found": 41.0, "advised": 44.0}},
                 causes=causes, advice=advice, service={"order": [], "left": {"level_to_set_mm": 140.0}},
                 phrases=phrases_in(advice), **more)


def drafted(found: dict[str, Any], language: str = "en") -> drafting.Drafted:
    with override("en"):
        english = letter_blocks(found, {"rider_name": "Rider"})
    with override(language):
        blocks = drafting.beside(letter_blocks(found, {"rider_name": "Rider"}), english if language != "en" else [])
    return drafting.Drafted("1.0.0", found, figures(), joined(block["text"] for block in blocks), language,
                            blocks=blocks)


class Engine:
    """Finds what it is told to find."""

    found = findings()
    language = "en"


@pytest.fixture
def engine(monkeypatch):
    told = Engine()
    monkeypatch.setattr(drafting, "compute", lambda round: drafted(told.found, told.language))
    monkeypatch.setattr(letters, "print_letter", lambda letter, text, tuner: PDF)
    return told


@pytest.fixture
def order(engine):
    return handed_in()


def edit(letter: Letter, **texts: str) -> Letter:
    named = {name.replace("_", " "): text for name, text in texts.items()}
    return services.edit_blocks(letter=letter, based_on_version=letter.version, texts=named, user=tuner())


def redrafted(order: Any, engine: Engine, found: dict[str, Any]) -> Letter:
    engine.found = found
    handed_in_again(order)
    assert services.draft_round(order_id=order.pk, worker="worker-1")
    return Letter.objects.select_related("draft").get()


def block(letter: Letter, name: str) -> dict[str, Any]:
    return next(one for one in services.blocks_of(letter=letter) if one["name"] == name)


def approve(letter: Letter) -> Letter:
    return services.approve(letter=letter, version=letter.version, user=tuner())


# -- what the engine writes ---------------------------------------------------------------------------------------


def test_each_number_says_where_it_comes_from_how_it_is_written_and_where_it_stands():
    see = next(one for one in letter_blocks(findings(), {}) if one["name"] == "see")
    rows = {number["path"]: number for number in see["numbers"]}
    found = rows["fork.usable_stroke_mm.found"]
    assert (found["shown"], found["how"]) == (f"96{NBSP}mm", "mm, 0 decimals")
    assert rows["advice.0.expect high"]["shown"] == "142"
    assert all(see["text"][row["start"]:].startswith(row["shown"]) for row in see["numbers"])


def test_the_blocks_come_in_this_order_with_the_safety_line_first():
    assert [one["name"] for one in letter_blocks(findings(), {"rider_name": "Rider"})] == [
        "greeting", "riding", "answer", "against", "do", "cautions", "steps", "see", "send back", "otherwise",
        "stop when", "undo", "boundaries"]


def test_a_number_in_german_is_bound_to_the_same_path():
    with override("de"):
        see = next(one for one in letter_blocks(findings(96.4), {}) if one["name"] == "see")
    assert "fork.usable_stroke_mm.found" in {number["path"] for number in see["numbers"]}


def test_private_signs_in_a_riders_name_cannot_pass_for_marks():
    greeting = letter_blocks(findings(), {"rider_name": "A\ue000\ue100b\ue001c"})[0]
    assert greeting["text"] == "Hello Abc," and greeting["numbers"] == []


# -- new findings ------------------------------------------------------------------------------------------------


def test_a_block_that_nobody_touched_is_written_anew_by_itself(order, engine):
    letter = edit(drafted_letter(order), answer="As I see it: too much oil.")
    letter = redrafted(order, engine, findings(stroke=80.0))
    words = services.text_of(letter=letter)
    assert f"80{NBSP}mm" in words and f"96{NBSP}mm" not in words and "As I see it: too much oil." in words
    assert letter.draft.revision == 4 and approve(letter).approved_at


def test_a_number_inside_touched_words_is_stale_with_old_and_new_and_stops_the_approval(order, engine):
    edit(drafted_letter(order), see=f"Now you use 96{NBSP}mm. Tell me what you see.")
    letter = redrafted(order, engine, findings(stroke=80.0))
    (stale,) = [number for number in block(letter, "see")["numbers"] if "now" in number]
    assert (stale["shown"], stale["now"]) == (f"96{NBSP}mm", f"80{NBSP}mm")
    with pytest.raises(Refused, match="out of date: 96"):
        approve(letter)


def test_one_press_takes_the_new_number_into_the_tuners_sentence(order, engine):
    edit(drafted_letter(order), see=f"Now you use 96{NBSP}mm. Tell me what you see.")
    letter = redrafted(order, engine, findings(stroke=80.0))
    services.take_number(letter=letter, based_on_version=letter.version, block="see", place=0, user=tuner())
    assert block(letter, "see")["text"] == f"Now you use 80{NBSP}mm. Tell me what you see."
    assert approve(letter).approved_at


def test_a_number_is_kept_for_a_reason_that_is_stored_until_the_findings_say_yet_another(order, engine):
    edit(drafted_letter(order), see=f"Now you use 96{NBSP}mm. Tell me what you see.")
    letter = redrafted(order, engine, findings(stroke=80.0))
    keep = {"letter": letter, "block": "see", "place": 0, "user": tuner()}
    with pytest.raises(Refused, match="needs a reason"):
        services.keep_number(**keep, based_on_version=letter.version, because="  ")
    services.keep_number(**keep, based_on_version=letter.version, because="the rider measured it twice")
    kept = block(letter, "see")["numbers"][0]["kept"]
    assert (kept["because"], kept["who"]) == ("the rider measured it twice", "tuner")
    letter = redrafted(order, engine, findings(stroke=80.0))
    services.check_settled(letter=letter)
    letter = redrafted(order, engine, findings(stroke=77.0))
    with pytest.raises(Refused, match="now 77"):
        approve(letter)


def test_a_number_that_the_tuner_typed_over_is_their_own(order, engine):
    edit(drafted_letter(order), see="Now you use about 95 mm. Tell me what you see.")
    letter = redrafted(order, engine, findings(stroke=80.0))
    assert block(letter, "see")["numbers"] == []


def test_a_sentence_that_was_moved_keeps_its_number(order, engine):
    letter = drafted_letter(order)
    moved = block(letter, "see")["text"].split("\n- ")
    edit(letter, see="\n- ".join([moved[0], *reversed(moved[1:])]))
    letter = redrafted(order, engine, findings(stroke=80.0))
    assert [number["now"] for number in block(letter, "see")["numbers"] if "now" in number] == [f"80{NBSP}mm"]


def test_other_words_under_touched_ones_wait_for_the_tuner_to_take_or_leave_them(order, engine):
    edit(drafted_letter(order), steps="1. Do it my way.")
    other = findings()
    other["service"]["order"] = ["Open the cap slowly"]
    letter = redrafted(order, engine, other)
    with pytest.raises(Refused, match="changed under your words: In this order"):
        approve(letter)
    services.settle_block(letter=letter, based_on_version=letter.version, block="steps", take=True, user=tuner())
    assert "Open the cap slowly" in services.text_of(letter=letter) and approve(letter).approved_at


def test_words_for_a_block_that_the_new_letter_lacks_are_never_lost(order, engine):
    edit(drafted_letter(order), steps="1. Do it my way.")
    open_ = findings(verdict={"kind": "cannot tell yet", "cause": None, "words": "We cannot tell yet."})
    letter = redrafted(order, engine, open_)
    assert "1. Do it my way." in services.text_of(letter=letter)
    services.settle_block(letter=letter, based_on_version=letter.version, block="steps", take=True, user=tuner())
    assert "1. Do it my way." not in services.text_of(letter=letter)
    assert "1. Do it my way." in services.text_of(letter=letter, version=2)


def test_the_whole_letter_edited_as_one_text_finds_its_blocks_again(order, engine):
    letter = drafted_letter(order)
    text = services.text_of(letter=letter).replace("Our answer", "My answer").replace("## What you should see", (
        "And a line of mine.\n\n## What you should see"))
    services.edit_letter(letter=letter, based_on_version=1, text=text, user=tuner())
    assert services.text_of(letter=letter) == text
    touched = [one["name"] for one in services.blocks_of(letter=letter) if one["text"] != one["written"]]
    assert touched == ["answer", "steps"] and len(block(letter, "see")["numbers"]) == 4


def test_a_page_that_shows_an_older_version_changes_no_number(order, engine):
    edit(drafted_letter(order), see=f"Now you use 96{NBSP}mm.")
    letter = redrafted(order, engine, findings(stroke=80.0))
    with pytest.raises(Refused, match="newer version than 2"):
        services.take_number(letter=letter, based_on_version=2, block="see", place=0, user=tuner())
