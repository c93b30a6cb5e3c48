"""A sign that means "do not ride" and advice on settings never leave in one letter, whoever brings either in."""
from __future__ import annotations

import pytest

from intake.errors import Refused
from reports import letter_words, services
from reports.models import Draft
from reports.services import drafting, letters
from reports.stop_rule import advice_beside_stop
from tests.letter_cases import PDF, drafted_letter, handed_in, tuner
from tests.reports.test_a_letter_by_blocks import drafted, findings

pytestmark = pytest.mark.django_db
STOP = {"stop_riding": True, "verdict": {"kind": "stop", "cause": None, "words": "Do not ride."},
        "stop_reasons": [{"name": "crack", "end": "front", "reason": "A cracked part can break.",
                          "do": "Have a licensed workshop look at it."}]}


@pytest.fixture(params=["en", "de", "es"])
def stopped(monkeypatch, request):
    monkeypatch.setattr(letters, "print_letter", lambda *_: PDF)
    monkeypatch.setattr(drafting, "compute", lambda round: drafted(findings(**STOP), request.param))
    return drafted_letter(handed_in(language=request.param))


@pytest.fixture
def advising(monkeypatch):
    monkeypatch.setattr(letters, "print_letter", lambda *_: PDF)
    monkeypatch.setattr(drafting, "compute", lambda round: drafted(findings()))
    return drafted_letter()


def edit(letter, **texts):
    named = {name.replace("_", " "): text for name, text in texts.items()}
    return services.edit_blocks(letter=letter, based_on_version=letter.version, texts=named, user=tuner())


def approve(letter):
    return services.approve(letter=letter, version=letter.version, user=tuner())


def test_the_engines_own_stop_letter_is_approved(stopped):
    assert approve(stopped).approved_at


@pytest.mark.parametrize("advice", [
    "Turn the rebound out two clicks.", "Draw off 100 ml.", "Meanwhile lower the oil\u00a0level a little.",
    "Meanwhile lower the **oil** level a little.", "Set the oil\nlevel to what we agreed.", "Set it to 140 mm.",
    "Drehe die Zugstufe zwei Klicks heraus.", "Stelle die Vorspannung zurück.", "Gira el rebote dos clics.",
    "Baja un poco el nivel de aceite.", "Turn the knob at the top a little."])
def test_an_edit_cannot_bring_advice_into_it(stopped, advice):
    now = next(one for one in services.blocks_of(letter=stopped) if one["name"] == "do now")
    letter = edit(stopped, do_now=f"{now['text']}\n\n{advice}")
    with pytest.raises(Refused, match="holds no advice on settings"):
        approve(letter)
    letter.refresh_from_db()
    assert letter.approved_at is None and letter.pdf is None


def test_advice_written_as_one_text_is_found_too(stopped):
    text = services.text_of(letter=stopped) + "\nTake two clicks off the compression.\n"
    services.edit_letter(letter=stopped, based_on_version=1, text=text, user=tuner())
    with pytest.raises(Refused, match="holds no advice"):
        approve(stopped)


def test_own_words_with_advice_are_refused_before_they_are_in(stopped):
    own = services.save_own_words(user=tuner(), name="Rebound", text="Turn the rebound in by one click.")
    with pytest.raises(Refused, match="holds no advice"):
        services.insert_own_words(letter=stopped, based_on_version=1, block="do now", own=own, user=tuner())
    assert stopped.versions.count() == 1


def test_kind_words_are_no_advice(stopped):
    now = next(one for one in services.blocks_of(letter=stopped) if one["name"] == "do now")
    letter = edit(stopped, do_now=f"{now['text']}\n\nCall us when the workshop has looked at the crack.")
    assert approve(letter).approved_at


def test_steps_kept_from_before_the_stop_hold_it_up(advising):
    letter = edit(advising, steps="1. Wait for me.")
    Draft.objects.update(findings=findings(**STOP))
    letter.draft.refresh_from_db()
    with pytest.raises(Refused, match="holds no advice"):
        approve(letter)


def test_a_tuners_own_stop_does_not_leave_beside_the_advice(advising):
    with pytest.raises(Refused, match="holds no advice"):
        approve(edit(advising, riding="**Riding:** Do not ride this motorcycle."))


def test_a_letter_always_says_whether_to_ride(advising):
    with pytest.raises(Refused, match="does not say whether to ride"):
        approve(edit(advising, riding=""))


def test_the_engines_words_on_what_to_watch_for_are_no_stop(advising):
    assert advice_beside_stop(services.blocks_of(letter=advising), advising.draft.findings) == ""


@pytest.mark.parametrize("riding", ["**Riding:** Ride as you like.", "Conduce.", "Du kannst fahren."])
def test_a_stop_is_not_taken_out_of_its_letter(stopped, riding):
    letter = edit(stopped, riding=riding)
    with pytest.raises(Refused, match="never outvoted"):
        approve(letter)
    assert approve(edit(letter, riding="Do not ride. Fahre nicht. No conduzcas. It is the crack.")).approved_at


def test_words_on_riding_from_before_the_stop_are_not_left_standing(advising):
    letter = edit(advising, riding="**Riding:** Ride gently for now.")
    blocks = services.versions.on_new_findings(services.blocks_of(letter=letter), drafted_draft(findings(**STOP)))
    left = [letter_words.settled(block, take=False) if "fresh" in block else block for block in blocks]
    with pytest.raises(Refused, match="never outvoted"):
        letters.check_stop(blocks=[one for one in left if one["name"] == "riding"], findings=findings(**STOP))


def drafted_draft(found):
    made = drafted(found)
    return Draft(findings=made.findings, blocks=made.blocks, language="en")
