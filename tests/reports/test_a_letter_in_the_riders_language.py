"""The findings stay English; what is made of them speaks the rider's language."""
from __future__ import annotations

import json

import pytest
from django.utils.translation import override

from analysis.say import listed, one_after_another, phrases_in, say
from reports import tongue
from reports.phrases import quantity
from reports.tongue import digits, in_language

GERMAN = {
    "Draw off {amount} ml.": "{amount} ml abziehen.",
    "{first} and {last}": "{first} und {last}",
    "left": "links", "right": "rechts",
    "It is {which}.": "Es ist {which}.",
    "Oil level now": "Ölstand jetzt",
}


@pytest.fixture
def german(monkeypatch):
    monkeypatch.setattr(tongue, "gettext", lambda text: GERMAN.get(text, text))
    with override("de"):
        yield


def findings(**parts: object) -> dict[str, object]:
    """As the worker stores them: plain JSON, with the phrases beside."""
    return json.loads(json.dumps(parts | {"phrases": phrases_in(parts)}))


def test_a_sentence_is_made_anew_with_its_numbers_in_the_languages_way(german):
    said = in_language(findings(steps=[say("Draw off {amount} ml.", amount="12.5")]))

    assert said["steps"] == ["12,5 ml abziehen."]


def test_a_sentence_inside_a_sentence_is_translated_too(german):
    which = listed([say("left"), say("right")])

    said = in_language(findings(words=one_after_another([say("It is {which}.", which=which), "Oil level now"])))

    assert said["words"] == "Es ist links und rechts. Ölstand jetzt"


def test_names_for_the_machine_stay(german):
    said = in_language(findings(causes=[{"name": "left", "title": say("left"), "probability": 0.5}]))

    assert said["causes"] == [{"name": "left", "title": "links", "probability": 0.5}]


def test_english_findings_are_left_as_they_are():
    with override("en"):
        assert in_language(findings(words=say("Draw off {amount} ml.", amount="12.5")))["words"] == "Draw off 12.5 ml."


def test_numbers_have_the_decimal_comma_where_people_write_it(german):
    assert digits("0.42") == "0,42"
    assert quantity(1.25, "bar") == "1,25\u00a0bar"
    with override("en"):
        assert quantity(1.25, "bar") == "1.25\u00a0bar"
