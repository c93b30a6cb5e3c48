"""A wrong part takes stroke from one leg or from both, and a tyre has too little air or too much."""
from __future__ import annotations

import pytest

from tests.reference_fork import Document, case, findings

STOPS = {"used_mm": 111, "end_feel": "clank", "repeats": "same"}


def odds(told: Document) -> dict[str, float]:
    return {cause["name"]: cause["probability"] for cause in findings(told)["causes"]}


@pytest.mark.parametrize(("left", "right"), [(112, 140), (140, 112), (112, 112)])
def test_a_leg_that_ends_short_without_its_spring_is_wrongly_put_together(left: float, right: float) -> None:
    told = case({"oil_level_mm": 140}, bench={
        "springs_out": {"left_stroke_mm": left, "right_stroke_mm": right}, "travel": STOPS})
    assert odds(told)["wrong assembly"] > 0.9
    found = findings(told)
    assert found["verdict"]["cause"] == "wrong assembly"
    assert "better not at all until a workshop has looked inside" in found["ride_gently"]


def test_legs_that_both_reach_their_stroke_without_springs_are_not() -> None:
    whole = {"left_stroke_mm": 140, "right_stroke_mm": 140}
    told = case({"oil_level_mm": 140}, bench={"springs_out": whole, "travel": STOPS})
    assert odds(told).get("wrong assembly", 0.0) < 0.1


# Common practice, no source: a road bike's front tyre has about 2.3 bar.
@pytest.mark.parametrize("bar", [1.4, 3.4])
def test_far_too_little_and_far_too_much_air_both_make_the_tyre_a_likelier_cause(bar: float) -> None:
    usual, wrong = (odds(case({"oil_level_mm": 140}, tyres={"pressure_front_bar": pressure})).get(
        "tyre, bearing or brake", 0.001) for pressure in (2.3, bar))
    assert wrong > 10 * usual


def test_a_tyre_blown_too_hard_is_harsh_and_a_soft_one_is_not() -> None:
    def harsh_rather_than_diving(bar: float) -> float:
        harsh, dives = (odds(case({"oil_level_mm": 140}, tyres={"pressure_front_bar": bar}, complaint={
            "symptoms": [symptom]}))["tyre, bearing or brake"] for symptom in ("harsh on small bumps", "dives"))
        return harsh / (1 - harsh) * (1 - dives) / dives
    assert harsh_rather_than_diving(3.3) > 1.5 * harsh_rather_than_diving(1.3)
