"""A sentence is its English text, and knows how it was made."""
from __future__ import annotations

import copy
import json
import pickle

from analysis.say import Phrase, either, listed, one_after_another, phrases_in, say


def test_a_sentence_reads_as_plain_english():
    said = say("Turn it {turns} turns {way}.", turns="1.5", way=say("out"))

    assert said == "Turn it 1.5 turns out."
    assert json.dumps([said]) == '["Turn it 1.5 turns out."]'


def test_a_sentence_keeps_its_template_through_copies_and_pickles():
    said = say("Add {amount} ml.", amount=20)

    for again in (copy.deepcopy(said), pickle.loads(pickle.dumps(said))):
        assert isinstance(again, Phrase)
        assert (again, again.template, again.slots) == ("Add 20 ml.", "Add {amount} ml.", {"amount": "20"})


def test_lists_are_phrases_made_of_phrases():
    assert listed(["oil", "air", "springs"]) == "oil, air and springs"
    assert either(["oil", "air"]) == "oil or air"
    assert listed(["oil"]) == "oil"
    assert not listed([]) and not one_after_another(["", ""])


def test_every_phrase_of_a_document_is_found_with_those_inside_it():
    inner = say("{amount} ml", amount="20")
    document = {"steps": [one_after_another([say("Add {oil}.", oil=inner), "", say("Read the level.")])], "name": "oil"}

    found = phrases_in(document)

    assert found["Add 20 ml. Read the level."]["slots"] == {"first": "Add 20 ml.", "rest": "Read the level."}
    assert found["Add 20 ml."] == {"template": "Add {oil}.", "slots": {"oil": "20 ml"}}
    assert found["20 ml"] == {"template": "{amount} ml", "slots": {"amount": "20"}}
    assert "oil" not in found
