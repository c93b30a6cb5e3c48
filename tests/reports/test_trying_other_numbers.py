"""A tuner's sliders: one address answers each move, nothing is saved by it, and one press puts the numbers in."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake.models import Case, Round
from reports import services
from reports.models import Draft, Letter
from reports.services import drafting
from reports.tuner_models import ChosenNumbers, Judgement
from tests.letter_cases import handed_in
from tests.reference_fork import case as reference_case
from tests.reference_fork import findings as found_by_the_engine

pytestmark = pytest.mark.django_db
FULL = reference_case({"oil_level_mm": 60}, bench={"travel": {"used_mm": 95, "end_feel": "stops dead"}})
OWN = {"oil_as": "level", "level_left_mm": "150", "level_right_mm": "150"}


@pytest.fixture
def letter(monkeypatch) -> Letter:
    monkeypatch.setattr(drafting, "figures", lambda _: [])
    return drafted(FULL)


def drafted(document) -> Letter:
    order = handed_in()
    Round.objects.filter(pk=order.round_id).update(document=document)
    assert services.draft_round(order_id=order.pk, worker="worker-1")
    return Letter.objects.get(round=order.round_id)


def at(letter: Letter, name: str) -> str:
    return reverse(name, args=[letter.round.case.number])


def ask(tuner, letter, **typed):
    return tuner.client.get(at(letter, "try-answer"), typed)


def put(tuner, letter, **typed):
    return tuner.client.post(at(letter, "put-numbers"), {"revision": letter.round.revision, **typed})


def test_one_move_is_answered_with_curves_ruler_numbers_and_words_and_saves_nothing(tuner, letter):
    before = Case.objects.values().get(), Draft.objects.count()
    answer = ask(tuner, letter, **OWN).json()
    assert set(answer["plot"]["forces"]) == {"found", "chosen"} and answer["plot"]["locks"][0]["set"] == "found"
    assert answer["ruler"].startswith("<svg") and answer["figure"].startswith("<svg")
    assert answer["oil"] == ["Left leg to 150.0\u00a0mm: draw off 92\u00a0ml.",
                             "Right leg to 150.0\u00a0mm: draw off 92\u00a0ml."]
    usable = next(row for row in answer["rows"] if row[0].startswith("Usable stroke"))
    assert usable[1] != usable[2] and answer["against"] == []
    assert (Case.objects.values().get(), Draft.objects.count()) == before and not ChosenNumbers.objects.exists()


def test_the_answer_is_the_engines_and_no_second_arithmetic(tuner, letter):
    fork = found_by_the_engine(FULL)["fork"]
    usable = next(row for row in ask(tuner, letter).json()["rows"] if row[0].startswith("Usable stroke"))
    for words, which in zip(usable[1:], ("found", "advised"), strict=True):
        assert words.startswith(f"{fork['usable_stroke_mm'][which]:.1f}\u00a0mm (") and words.endswith("mm)")


def test_an_amount_is_a_level_said_otherwise(tuner, letter):
    answer = ask(tuner, letter, oil_as="amount", draw_off_left_ml="91.6", together="yes").json()
    assert answer["numbers"]["chosen"]["level_left_mm"] == pytest.approx(150, abs=0.1)
    assert answer["numbers"]["chosen"]["level_right_mm"] == answer["numbers"]["chosen"]["level_left_mm"]


@pytest.mark.parametrize("typed, said", [
    ({"level_left_mm": "a lot"}, "“a lot” is not a number"), ({"level_left_mm": "9000"}, "out of reach"),
    ({"turns": "nan"}, "not a number"), ({"rider_kg": "10"}, "out of reach"), ({"oil_as": "barrel"}, "level or as an"),
    ({"fast": "1.9"}, "out of reach"), ({"oil_as": "amount", "draw_off_left_ml": "x"}, "not a number")])
def test_what_cannot_be_read_is_said_in_a_sentence(tuner, letter, typed, said):
    answer = ask(tuner, letter, **typed)
    assert answer.status_code == 422
    assert said in answer.json()["problem"] and answer.json()["mend"]


@pytest.mark.parametrize("typed, said", [
    ({"level_left_mm": "60"}, "solid with oil"), ({"level_left_mm": "90"}, "air to spare"),
    ({"level_left_mm": "128"}, "higher than the papers"), ({"turns": "2"}, "One thing at a time")])
def test_what_cannot_be_advised_is_said_at_once_and_never_pressed_into_a_letter(tuner, letter, typed, said):
    assert said in " ".join(ask(tuner, letter, **typed).json()["against"])
    refused = put(tuner, letter, reason="My reason", **typed)
    assert refused.status_code == 409
    page = refused.content.decode()
    assert said in page and "My reason" in page and f'value="{next(iter(typed.values()))}"' in page
    assert not ChosenNumbers.objects.exists()


def test_without_a_script_the_same_form_draws_the_figure_on_the_server(tuner, letter):
    page = tuner.client.post(at(letter, "try-numbers"), OWN).content.decode()
    assert "figure-try" in page and "draw off 92" in page and 'value="150"' in page
    assert not ChosenNumbers.objects.exists()
    assert tuner.client.get(at(letter, "try-numbers")).status_code == 200
    assert "solid at 132" in page  # the red line where the oil as found is solid


def test_one_press_puts_them_into_the_draft_and_the_page_says_whose_they_are(tuner, letter):
    assert put(tuner, letter, reason="More air.", **OWN).status_code == 302
    services.draft_round(order_id=letter.round.work_order.pk, worker="worker-1")
    page = tuner.client.get(at(letter, "desk-case")).content.decode()
    assert "The draft has tuner's numbers" in page and "More air." in page and "Put the engine's numbers back" in page
    assert ChosenNumbers.objects.get().numbers == {"level_left_mm": 150.0, "level_right_mm": 150.0}
    assert put(tuner, letter, engines="yes", **OWN).status_code == 302
    assert ChosenNumbers.objects.latest("pk").numbers == {}


def test_conditions_are_looked_at_and_never_put_into_a_letter(tuner, letter):
    hot = ask(tuner, letter, oil_c="80", rider_kg="110").json()
    assert hot["rows"] != ask(tuner, letter).json()["rows"]
    assert put(tuner, letter, rider_kg="110", **OWN).status_code == 409
    assert put(tuner, letter, rider_kg="78", oil_c="20", **OWN).status_code == 302  # as told: nothing was moved


def test_the_case_page_starts_the_sliders_where_the_draft_stands(tuner, letter):
    shown = tuner.client.get(at(letter, "desk-case"))
    levels = shown.context["trying"]["levels"]
    assert [(one.value, one.found, one.advised) for one in levels] == [("140", "60", "140")] * 2
    page = shown.content.decode()
    assert "figure-try" in page and " style=" not in page and "<script>" not in page


def test_a_stopped_front_has_no_sliders_to_press(tuner, letter, monkeypatch):
    stopped = drafted({**FULL, "safety": {"cap_damaged": True}})
    assert put(tuner, stopped, **OWN).status_code == 409
    assert "Put these numbers into the letter" not in tuner.client.get(at(stopped, "desk-case")).content.decode()


def test_a_round_without_a_draft_has_nothing_to_try(tuner):
    case = handed_in().round.case
    for name in ("try-numbers", "try-answer"):
        assert tuner.client.get(reverse(name, args=[case.number])).status_code == 404


def test_a_judgement_is_shown_beside_the_engines_and_what_was_typed_is_not_lost(tuner, letter):
    refused = tuner.client.post(at(letter, "judge"), {
        "revision": letter.round.revision, "cause": "gremlins", "judgement_reason": "It squeaks."})
    assert refused.status_code == 409 and "It squeaks." in refused.content.decode()
    made = tuner.client.post(at(letter, "judge"), {
        "revision": letter.round.revision, "cause": "friction or misalignment", "judgement_reason": "It squeaks."})
    assert made.status_code == 302
    services.draft_round(order_id=letter.round.work_order.pk, worker="worker-1")
    page = tuner.client.get(at(letter, "desk-case")).content.decode()
    assert "tuner holds: Friction, or legs clamped out of line" in page and "It squeaks." in page
    assert "Too much oil, too little air" in page
    tuner.client.post(at(letter, "judgement-take-back"))
    assert Judgement.objects.get().taken_back_at
