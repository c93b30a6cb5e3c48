"""What a rider typed about bounce, clicks and oil comes out as findings in the trade's units."""
from __future__ import annotations

import json

import numpy as np
import pytest

from analysis.damping_part import damping_part
from analysis.document import parse_case
from tests.analysis.bounces import simulate


def part_of(**document):
    return damping_part(parse_case({"schema": 1, **document}))


def rebound(**answers):
    return part_of(bench={"rebound": answers})["rebound"]


def film(zeta=0.2, friction=0.0, every=2, fps=120):
    frames = np.arange(0, 320, every)
    tube = 120 + 1e3 * simulate(frames / fps, zeta=zeta, friction=friction, hertz=1.8, push=0.04)
    return "\n".join(f"{f};{y:.1f}".replace(".", ",") for f, y in zip(frames, tube, strict=True))


def test_the_time_that_the_rear_took_is_shown_to_a_hundredth():
    assert part_of(bench={"rear_bounce": {"return_s": 0.333}})["rear"]["return_s"] == 0.33


def test_nothing_said_is_no_part():
    assert part_of(bike={"mass_kg": 200}) is None


def test_counting_gives_a_bracket():
    part = rebound(swings="one small")
    assert part["from"] == "count" and part["damping_ratio"]["low"] < 0.45 < part["damping_ratio"]["high"]


def test_heights_read_off_a_film_outweigh_the_count():
    part = rebound(swings="two or more", pushed_mm=40, first_past_mm=8, half_swing_s=0.28)
    assert part["from"] == "heights"
    assert part["damping_ratio"]["value"] == pytest.approx(0.456, abs=0.001)  # 8 of 40 mm is 20 %
    assert part["damped_hz"]["value"] == pytest.approx(1.786, abs=0.001)


def test_swings_that_shrink_in_a_straight_line_are_friction():
    part = rebound(pushed_mm=60, first_past_mm=44, then_below_mm=28, then_past_mm=12)
    assert part["damping_ratio"] is None and part["refused"][0]["reason"] == "friction dominates"
    assert part["friction_mm"]["value"] == pytest.approx(8, abs=0.3)  # arithmetic: 2 F/k a swing is 16 mm


def test_the_whole_film_outweighs_both():
    part = rebound(swings="none", pushed_mm=40, first_past_mm=30, film=film(), frames_per_s=120)
    assert part["from"] == "film" and part["damping_ratio"]["value"] == pytest.approx(0.2, abs=0.01)
    assert part["natural_hz"]["value"] == pytest.approx(1.8, rel=0.01)


def test_a_heading_of_the_rider_s_own_does_no_harm():
    part = rebound(film="frame;mm showing\n" + film(), frames_per_s=120)
    assert part["damping_ratio"]["value"] == pytest.approx(0.2, abs=0.01)


@pytest.mark.parametrize("answers, says", [
    ({"film": film()}, "240"), ({"film": "0;100\n1;x\n2;99", "frames_per_s": 120}, "line 2"),
    ({"film": "0;100\n10;99", "frames_per_s": 120}, "too few")])
def test_a_film_that_cannot_be_read_says_why_and_gives_way_to_the_count(answers, says):
    part = rebound(swings="one small", **answers)
    assert part["from"] == "count" and part["damping_ratio"] is not None
    assert says in part["refused"][0]["words"]


def test_clicks_and_sweep_are_found():
    part = part_of(
        fork={"damper": "damper rod",
              "left": {"compression": {"clicks_out": 0, "clicks_range": 20}, "rebound": {"clicks_out": 4}},
              "right": {"compression": {"clicks_out": 0, "clicks_range": 20}, "rebound": {"clicks_out": 12}}},
        bench={"clicks": {"stroke_in_mm": 60, "stroke_out_mm": 61, "feel": "endless"}})
    assert [(f["kind"], f["side"]) for f in part["adjusters"]] == [
        ("at the hard end", "left"), ("at the hard end", "right"), ("sides differ", "both"),
        ("changes nothing", "both"), ("turns endlessly", "both")]


def test_clicks_counted_from_fully_out_are_turned_round():
    part = part_of(fork={"left": {"compression": {"clicks_out": 20, "clicks_range": 20}}},
                   bench={"clicks": {"counted_from": "fully out"}})
    assert part["adjusters"][0]["kind"] == "at the hard end"


def test_an_oil_by_its_numbers():
    oil = part_of(fork={"oil": {"viscosity_40_cst": "32 cSt", "viscosity_100_cst": 6.0, "viscosity_book_cst": 15}},
                  use={"temperature_c": 5})["oil"]
    # Arithmetic, two-point method: 191 mm²/s at 5 °C, six times that at 40 °C.
    assert {row["temperature_c"]: row["viscosity_cst"] for row in oil["at"]}[5.0] == pytest.approx(191, abs=1)
    assert oil["cold"]["most_times"] == pytest.approx(5.96, abs=0.02)
    assert oil["grade"] == 32 and oil["viscosity_index"] == pytest.approx(136, abs=3)
    assert any("2.1 times as thick" in words for words in oil["words"])


@pytest.mark.parametrize("celsius, felt", [(5, True), (30, True), (37, False), (45, False)])
def test_the_cold_is_spoken_of_where_a_rider_would_feel_it(celsius, felt):
    oil = part_of(fork={"oil": {"viscosity_40_cst": 32, "viscosity_100_cst": 6}}, use={"temperature_c": celsius})["oil"]
    assert (oil["cold"]["most_times"] > 1.25) == felt == any("slow damping" in words for words in oil["words"])


def test_a_weight_on_the_bottle_stays_a_name():
    oil = part_of(fork={"oil": {"label": "10W"}})["oil"]
    assert oil["viscosity_40_cst"] is None and oil["at"] == [] and "not a viscosity" in oil["words"][0]


def test_two_oils_mixed():
    oil = part_of(fork={"oil": {"viscosity_40_cst": 15, "second_viscosity_cst": 46, "second_share": "50 %"}})["oil"]
    assert oil["mixed_40_cst"] == pytest.approx(25.2)


def test_the_part_can_be_stored_as_json():
    part = part_of(bench={"rebound": {"film": film(0.02, 0.004), "frames_per_s": 120, "swings": "none"}},
                   fork={"oil": {"label": "VG 32"}})
    assert json.loads(json.dumps(part, allow_nan=False)) == part


def test_a_rebound_outside_what_is_ordinary_is_named():
    assert "the rebound is loose" in rebound(pushed_mm=60, first_past_mm=30)["words"]
    assert "the rebound is slow" in rebound(film=film(0.75), frames_per_s=120)["words"]


@pytest.mark.parametrize("zeta", [0.45, 0.55, 0.6, 0.65, 0.7])
def test_a_film_of_an_ordinary_rebound_is_read_though_it_swings_past_but_once(zeta):
    part = rebound(film=film(zeta, every=1, fps=240), frames_per_s=240)
    assert part["refused"] == [] and part["damping_ratio"]["value"] == pytest.approx(zeta, abs=0.01)


def test_an_adjuster_that_does_not_turn_is_not_forced():
    (found,) = part_of(bench={"clicks": {"feel": "stuck"}})["adjusters"]
    assert found["kind"] == "stuck" and "Do not force it" in found["do"]


def test_an_oil_by_one_viscosity_and_its_index():
    oil = part_of(fork={"oil": {"viscosity_40_cst": 32, "viscosity_index": 136}})["oil"]
    # The other way round: 32 at 40 °C and 6.0 at 100 °C make an index of 136, and 191 at 5 °C.
    assert oil["viscosity_index"] == pytest.approx(136, abs=1)
    assert {row["temperature_c"]: row["viscosity_cst"] for row in oil["at"]}[5.0] == pytest.approx(191, abs=1.5)
