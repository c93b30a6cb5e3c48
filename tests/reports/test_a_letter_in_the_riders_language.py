"""The findings stay English; what is made of them speaks the rider's language."""
from __future__ import annotations

import io
import json

import pytest
from django.utils.translation import override
from matplotlib.figure import Figure
from pypdf import PdfReader

from analysis.say import listed, one_after_another, phrases_in, say
from analysis.verdict import odds_words
from intake.words import digits
from reports import tongue
from reports.letter_parts import answer_line
from reports.pdf import report_pdf
from reports.phrases import quantity
from reports.plots import Ticks
from reports.tongue import in_language, inside

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


def test_an_axis_has_the_decimal_comma_too(german):
    axis = Figure().add_axes((0, 0, 1, 1)).yaxis
    axis.set_major_formatter(Ticks())

    assert axis.get_major_formatter().format_ticks([0.0, 0.5, 1.0]) == ["0,0", "0,5", "1,0"]


@pytest.mark.parametrize("language, title, told", [
    ("en", "A tape measure", "a tape measure"), ("en", "I cannot tell", "I cannot tell"),
    ("de", "Eine Waage", "eine Waage"), ("de", "Klebeband", "Klebeband"),
    ("es", "Cinta adhesiva", "cinta adhesiva"), ("es", "¿Desde dónde?", "¿desde dónde?"), ("es", "", ""),
])
def test_a_title_inside_a_sentence_keeps_the_capitals_of_its_language(language, title, told):
    with override(language):
        assert inside(title) == told


@pytest.mark.parametrize("language, words", [("en", "page 1 of 1"), ("de", "Seite 1 von 1"), ("es", "página 1 de 1")])
def test_the_foot_of_a_printed_page_speaks_the_letters_language(language, words):
    with override(language):
        pdf = report_pdf("Words.\n", {"stop_riding": True}, [], {"number": "FB-7K3QX9"})

    assert words in PdfReader(io.BytesIO(pdf)).pages[0].extract_text()


@pytest.mark.parametrize("language", ["en", "de", "es"])
@pytest.mark.parametrize("chance", [0.81, 0.985])
def test_the_odds_of_the_answer_are_said_once_in_every_language(language, chance):
    words = say("Most likely: {title} ({chance}).", title=say("Coil bind"), chance=odds_words(chance)) if (
        chance < 0.97) else say("Almost certainly: {title}.", title=say("Coil bind"))
    said = findings(verdict={"kind": "cause", "cause": "coil bind", "words": words},
                    causes=[{"name": "coil bind", "title": "Coil bind", "probability": chance}])
    with override(language):
        line = answer_line(in_language(said))
    assert line.count("(") == 1 and line.endswith(").")
    assert ("81" in line) if chance < 0.97 else ("98" in line)
