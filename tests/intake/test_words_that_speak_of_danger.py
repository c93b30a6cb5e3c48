"""A rider's own words may speak of a danger that the safety page was not told; ordinary complaints do not."""
from __future__ import annotations

import pytest

from analysis.gates import SIGNS
from intake.danger_words import STEMS, dangers_in, spoken_of
from intake.models import Round

DANGERS = (
    ("Brake feels soft since the service", "brake_weak"),
    ("fork leg cracked at the bottom", "crack_or_crease"),
    ("there is oil on the disc", "oil_on_brake"),
    ("Oil drips onto the brake caliper", "oil_on_brake"),
    ("my pads are soaked", "oil_on_brake"),
    ("There's a notch in the steering and it clunks", "head_bearing_play"),
    ("front wheel has play", "wheel_bearing_play"),
    ("it stays down after a bump", "stuck_down"),
    ("won't come back up", "stuck_down"),
    ("the bars are off centre since the kerb", "bent_or_off_centre"),
    ("The fork cap is loose", "cap_damaged"),
    ("pinch bolt stripped", "clamping_doubtful"),
    ("tyre rubs the radiator at full stroke", "tyre_touches"),
    ("the brakes are spongy now", "brake_weak"),
    ("something like loose parts inside", "loose_parts_knock"),
    ("Öl auf der Bremsscheibe, Bremse wird weich.", "oil_on_brake"),
    ("Das Gabelöl läuft über den Bremssattel", "oil_on_brake"),
    ("Gabelbrücke hat einen Riss", "crack_or_crease"),
    ("Standrohr ist verbogen", "bent_or_off_centre"),
    ("Lenkkopflager hat Spiel", "head_bearing_play"),
    ("Der Lenker steht schief", "bent_or_off_centre"),
    ("Die Bremse greift kaum", "brake_weak"),
    ("Gabel bleibt unten stecken", "stuck_down"),
    ("Bremsbeläge verölt", "oil_on_brake"),
    ("Oel an der Bremse", "oil_on_brake"),
    ("Vorderrad wackelt", "wheel_bearing_play"),
    ("hay aceite en el disco", "oil_on_brake"),
    ("aceite sobre las pastillas", "oil_on_brake"),
    ("la horquilla tiene una grieta", "crack_or_crease"),
    ("la barra está doblada", "bent_or_off_centre"),
    ("el freno está blando", "brake_weak"),
    ("la dirección tiene holgura", "head_bearing_play"),
    ("se queda abajo", "stuck_down"),
    ("no frena bien", "brake_weak"),
    ("la maneta va esponjosa", "brake_weak"),
    ("El aceite gotea sobre la pinza", "oil_on_brake"),
    ("There is oil on the brake", "oil_on_brake"),
    ("Öl auf der Bremse", "oil_on_brake"),
    ("aceite en el freno", "oil_on_brake"),
    ("oil on the brakes since the oil change", "oil_on_brake"),
    ("The disc has oil on it", "oil_on_brake"),
    ("My brakes don't bite any more", "brake_weak"),
    ("front brake lost pressure", "brake_weak"),
)
HARMLESS = (
    "la horquilla con el retén roto pierde aceite",
    "Brakes work, it just dives",
    "front brake dive",
    "dives under braking",
    "when I brake the fork feels soft",
    "on the brakes it is soft",
    "Too soft under the brakes",
    "No oil on the disc",
    "there is no crack",
    "the tube is not bent",
    "changed the fork oil and the brake pads",
    "Since the oil change it pushes wide on the front tyre",
    "harsh on small bumps",
    "stiff from the crack of the throttle",
    "The fork is broken in",
    "new tyres fitted, oil changed on Monday",
    "beim Bremsen taucht sie tief ein",
    "Beim Bremsen ist die Gabel weich",
    "auf der Bremse wird die Gabel weich",
    "Kein Öl auf der Scheibe",
    "Ölwechsel und neue Bremsbeläge",
    "Hat keinen Riss",
    "Bremse neu, Öl neu",
    "se hunde al frenar",
    "sin aceite en el disco",
    "cambié aceite y pastillas",
    "frena bien pero se hunde",
    "no hay grietas",
    "the front is loose and vague",
    "hits a wall, stops dead",
    "It knocks when it comes back up",
    "bounces over potholes",
    "the wheel hits potholes and it is soft",
    "I want to play with the preload on the front wheel",
    "rides low at the head of the corner",
    "oil level set with fork on the bench",
    "Heavily loaded with luggage",
    "Bricht hinten aus",
    "Federt nach dem Bremsen langsam aus",
    "steering is heavy",
    "spring is soft",
    "shock feels soft",
    "el muelle es blando",
    "rebound too slow, stays low",
)


@pytest.mark.parametrize(("words", "sign"), DANGERS)
def test_words_that_speak_of_a_danger_are_heard_in_three_languages(words, sign):
    assert f"safety.{sign}" in dangers_in(words)


@pytest.mark.parametrize("words", HARMLESS)
def test_ordinary_words_of_a_complaint_are_no_danger(words):
    assert not dangers_in(words)


def test_every_list_belongs_to_a_sign_that_stops_a_bike():
    assert set(STEMS) <= set(SIGNS)


def test_the_sentence_is_shown_as_it_was_typed():
    assert dangers_in("Dives a lot. Öl auf der Bremsscheibe!  Sonst gut.") == {
        "safety.oil_on_brake": "Öl auf der Bremsscheibe!"}


def spoken(document, changes=""):
    return [(one.name, one.denied) for one in spoken_of(Round(document=document, changes=changes))]


def test_every_free_answer_is_listened_to():
    assert spoken({"service": {"notes": "The fork leg is cracked"}}) == [("crack or crease", False)]
    assert spoken({"bench": {"push": {"not_done": {"value": "the brake is spongy", "known": "measured"}}}}) == [
        ("weak brake", False)]
    assert spoken({}, "I took 50 ml out, now there is oil on the disc") == [("oil on the brake", False)]


def test_a_danger_that_the_safety_page_tells_is_not_told_twice_and_a_no_is_named():
    words = {"words": "there is oil on the disc"}
    assert spoken({"complaint": words, "safety": {"oil_on_brake": True}}) == []
    assert spoken({"complaint": words, "safety": {"oil_on_brake": {"value": False, "known": "guessed"}}}) == [
        ("oil on the brake", True)]
