"""Answers that clash by plain arithmetic are named; where one slip would undo the clash, that slip is asked about."""
from __future__ import annotations

import pytest

from analysis.disagreement import Disagreement
from analysis.disagreements import of_arithmetic
from analysis.document import parse_case
from analysis.inputs import read_inputs
from analysis.slips import explained, slips
from tests.reference_fork import Document, case


def found(document: Document) -> list[Disagreement]:
    told = parse_case(document)
    return explained(told, of_arithmetic(told, read_inputs(told)),
                     lambda mended: of_arithmetic(mended, read_inputs(mended)))


@pytest.mark.parametrize(("document", "between"), [
    # 98 + 120 = 218 kg against 200 kg: 9 %
    (case(bike={"front_load_kg": 98, "rear_load_kg": 120}), ("loads on both wheels", "mass of the bike")),
    (case(bench={"travel": {"used_mm": 101, "other_leg_mm": 92}}), ("travel used", "travel used, the other leg")),
    (case(bench={"sag": {"rider_sag_mm": 95}}), ("rider sag", "full stroke")),  # 68 % of 140 mm
    (case(bench={"sag": {"rider_sag_mm": 53}}, complaint={"symptoms": ["too stiff"]}), ("the complaint", "rider sag")),
    (case({"oil_level_mm": 320, "spring": {"free_length_mm": 300, "rate_n_per_mm": 8.5}}),
     ("oil level, left leg", "free length of the spring, left leg")),
    (case({"oil_volume_ml": 520}, bench={"drain": {"left_out_ml": 560, "left_strokes": 15}}, service={"filled": "dry"}),
     ("oil poured in, left leg", "amount drained, left leg")),
    (case(fork={"oil": {"label": "Fork oil 10W", "viscosity_40_cst": 10}}),
     ("what stands on the bottle", "viscosity at 40 °C"))])
def test_a_clash_is_named_as_a_pair(document: Document, between: tuple[str, str]) -> None:
    assert between in [one.between for one in found(document)]


@pytest.mark.parametrize("document", [
    case(bike={"front_load_kg": 98, "rear_load_kg": 108}),  # 3 %
    case(bench={"travel": {"used_mm": 101, "other_leg_mm": 98}}), case(bench={"sag": {"rider_sag_mm": 53}}),
    case(bench={"sag": {"rider_sag_mm": 80}}), case(fork={"oil": {"label": "Fork oil 10W", "viscosity_40_cst": 32}})])
def test_what_can_be_is_no_clash(document: Document) -> None:
    assert found(document) == []


@pytest.mark.parametrize(("document", "slip"), [
    # 1040 ml is 520 ml in each leg.
    (case({"oil_volume_ml": 1040}, service={"filled": "dry"}), "both legs"),
    # 14 read as mm stands for 140 mm, where the tie came to 128 mm: with 14 mm the leg would be solid at 96 mm.
    (case({"oil_level_mm": 14}, bench={"travel": {"used_mm": 128}}), "in centimetres, not in millimetres"),
    # 520 ml into legs that were drained and pumped is 26 ml too much: a level 26 mm higher than the papers', 114 mm.
    (case({"oil_level_mm": 114, "oil_volume_ml": 520}, service={"filled": "dry"}), "only been drained"),
    # 5.0 in is 127 mm, 5.0 cm is 50 mm, and 50 mm is what the amount of 612 ml makes of the papers' 140 mm.
    (case({"oil_level_mm": "5.0 in", "oil_volume_ml": 612}, service={"filled": "dry"}), "centimetres, not in inches")])
def test_the_one_slip_that_undoes_a_clash_is_asked_about(document: Document, slip: str) -> None:
    one = found(document)[0]
    assert slip in one.fits_if and one.ask.startswith(one.fits_if)


def test_clicks_that_mirror_each_other_were_counted_from_both_ends() -> None:
    def legs(left: int, right: int) -> Document:
        return case({"rebound": {"clicks_out": left, "clicks_range": 20}},
                    {"rebound": {"clicks_out": right, "clicks_range": 20}}, fork={"damper": "damper rod"})
    assert [one.fits_if for one in found(legs(4, 16))] == ["It fits if one leg was counted from the other end."]
    assert found(legs(4, 12)) == [] and found(legs(10, 10)) == []


def test_where_no_usual_slip_would_do_none_is_named() -> None:
    (one,) = found(case(bench={"travel": {"used_mm": 156}}))
    assert one.fits_if == ""


def test_nobody_slips_in_what_was_never_told() -> None:
    told = parse_case(case({"oil_volume_ml": 545}))
    assert not any("dry" in slip.words or "drained" in slip.words for slip in slips(told, ["fork.left.oil_volume_ml"]))
    told = parse_case(case({"oil_volume_ml": 545}, service={"filled": "dry"}))
    assert any("only been drained" in slip.words for slip in slips(told, ["fork.left.oil_volume_ml"]))


# 530 ml out of a leg that 485 ml went into; 265 ml would be half of what went in, so that slip would not make it fit.
def test_a_slip_that_leaves_its_own_answers_at_odds_is_not_named() -> None:
    drain = {"left_out_ml": 530, "right_out_ml": 530, "left_strokes": 15, "right_strokes": 15}
    for one in found(case({"oil_volume_ml": 485, "oil_volume_book_ml": 485}, service={"filled": "dry"},
                          bench={"drain": drain})):
        assert "both legs together" not in one.fits_if and "both legs together" not in one.ask
