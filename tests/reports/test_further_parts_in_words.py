"""Damping, the rear, the stance and more about the fork: the same words on the desk, the terminal and in the report."""
from __future__ import annotations

import io
import re

import numpy as np
import pytest
from django.urls import reverse
from pypdf import PdfReader

from analysis import analyse, parse_case
from reports.more_parts import damping_rows, more_tables, oil_rows, rear_rows, stance_rows
from reports.pdf import report_pdf
from reports.phrases import NBSP
from reports.terminal import summary
from tests.letter_cases import drafted_letter, use_fake_engine
from tests.reference_fork import case as reference_case

SHOCK = {"layout": "linkage", "wheel_travel_mm": 130, "stroke_mm": 65, "preload_mm": 10,
         "spring": {"rate_n_per_mm": 95, "free_length_mm": 160, "installed_length_mm": 150, "wire_diameter_mm": 11,
                    "total_coils": 7},
         "preload_turns_in": 4, "preload_turns_range": 12, "preload_pitch_mm_per_turn": 1.5, "rod_diameter_mm": 14,
         "gas_pressure_bar": 0}
BIKE = {"rear_load_kg": 108, "unsprung_rear_kg": 18, "fork_offset_mm": 30, "wheel_radius_front_mm": 300,
        "wheelbase_mm": 1400, "gravity_height_mm": 650}


@pytest.fixture(scope="module")
def found():
    """Findings of a case in which every further part has something to say."""
    document = reference_case(
        both={"oil_level_mm": 100, "rebound": {"clicks_out": 1, "clicks_range": 20}}, right={"oil_level_mm": 125},
        bike=BIKE, shock=SHOCK, fork={"oil": {"viscosity_40_cst": 32, "viscosity_index": 150}},
        bench={"rebound": {"pushed_mm": 60, "first_past_mm": 20, "then_below_mm": 7, "half_swing_s": 0.25}})
    return analyse(parse_case(document), np.random.default_rng(1)).as_document()


def table(found, name):
    return {label.replace(NBSP, " "): words.replace(NBSP, " ") for one in more_tables(found) if one.name == name
            for label, words in one.rows}


def test_every_part_that_says_something_has_its_table(found):
    assert [one.name for one in more_tables(found)] == ["damping", "oil", "fork-more", "rear", "stance"]
    for one in more_tables(found):
        assert all(label and words for label, words in one.rows)
        assert not re.search(r"None|nan|\{|_", " ".join(words for _, words in one.rows))


def test_findings_without_them_have_no_table():
    assert more_tables({}) == ()
    assert more_tables({"damping": None, "shock": None, "chassis": None, "fork": {}}) == ()
    assert damping_rows({"rebound": None, "adjusters": [], "oil": None}) == []
    assert (oil_rows(None), rear_rows(None), stance_rows(None)) == ([], [], [])


def test_the_words_carry_the_findings_numbers(found):
    rear = found["shock"]
    assert table(found, "rear")["Rider sag"] == f"{rear['sag']['rider']['predicted_mm']:.0f} mm by our reckoning"
    assert table(found, "rear")["Rear preload now"] == f"{rear['preload']['now_mm']:.0f} mm"
    assert f"trail {found['chassis']['found']['trail_mm']:.0f} mm" in table(found, "stance")["As found"]
    assert f"{found['fork']['twist']['moment_nm']:.1f} N·m" in table(found, "fork-more")["Legs pull unequally"]
    assert f"{found['damping']['rebound']['damping_ratio']['value']:.2f}" in table(found, "damping")["Bounce"]
    assert table(found, "oil")["Thickness at 40 °C"] == "32 mm²/s, grade 32"


def test_only_springs_that_fit_are_named_unless_none_does():
    springs = [{"rate_n_per_mm": 8.5, "rider_sag_mm": 39.0, "fits": True, "best": True, "words": "Fits."},
               {"rate_n_per_mm": 9.5, "rider_sag_mm": 33.0, "fits": False, "best": False, "words": "Too stiff."}]
    assert list(table({"fork": {"springs": springs}}, "fork-more")) == ["Spring 8.5 N/mm, the best fit"]
    assert list(table({"fork": {"springs": springs[1:]}}, "fork-more")) == ["Spring 9.5 N/mm"]


def test_braking_is_never_reckoned_past_what_bike_and_tyre_can_do():
    part = {"at_g": 1.2, "moved_kg": 116.0, "limit_g": 0.86, "rear_lifts_at_g": 0.9, "limited_by": "rear lifts"}
    words = table({"chassis": {"rake_deg": 24.0, "trail_mm": 100.0, "normal_trail_mm": 92.0, "wheelbase_mm": 1400.0,
                               "braking": part}}, "stance")["Hard braking"]
    assert words.startswith("At 0.86 g about 116 kg") and "the rear wheel lifts first" in words


def test_a_bike_that_must_not_be_ridden_gets_no_word_on_turning_clicks():
    adjusters = [{"kind": "sides differ", "side": "both", "circuit": "rebound", "words": "They differ.",
                  "do": "Set both to 8 clicks."}]
    damping = {"rebound": None, "adjusters": adjusters, "oil": None}
    assert table({"damping": damping}, "damping")["Clicks"] == "They differ. Set both to 8 clicks."
    assert table({"damping": damping, "stop_riding": True}, "damping")["Clicks"] == "They differ."


def test_legs_that_are_not_set_alike_stand_beside_the_clicks():
    unlike = {"kind": "sides differ", "side": "both", "circuit": "air pressure", "words": "They differ.",
              "do": "Set both."}
    damping = {"rebound": None, "adjusters": [unlike], "oil": None}
    assert table({"damping": damping}, "damping") == {"Left and right": "They differ. Set both."}


def test_the_terminal_shows_them(found):
    out = summary(found, width=100)
    for words in ("Damping\n", "The rear\n", "How the bike stands and steers\n", "  - Rear preload now: "):
        assert words in out
    assert all(len(line) <= 100 for line in out.split("\n"))


@pytest.mark.django_db
def test_the_desk_shows_them(found, monkeypatch, tuner):
    use_fake_engine(monkeypatch, **{name: found[name] for name in ("damping", "shock", "chassis", "fork")})
    case = drafted_letter().round.case
    page = tuner.client.get(reverse("desk-case", args=[case.number])).content.decode()
    for one in more_tables(found):
        assert f"<summary>{one.title}</summary>" in page
    assert "Rear preload now" in page


def test_the_report_prints_them_and_a_stop_does_not(found):
    def printed(**more):
        made = PdfReader(io.BytesIO(report_pdf("Hello,\n\nWords.\n", found | more, [], {})))
        return " ".join(page.extract_text() for page in made.pages)
    text = printed()
    assert "More numbers in words" in text and "The rear" in text and "Rear preload now" in text
    assert "More numbers in words" not in printed(stop_riding=True)
