"""The report's figures: right numbers, a table beside each, fit for a strict page, none where nothing is known."""
from __future__ import annotations

import math
import sys
from subprocess import run
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from reports.figures import figures

NS = "{http://www.w3.org/2000/svg}"
NAMES = ["ruler", "force", "shares", "pressure", "causes", "ranges"]


def curve(name, air_left_m3, points=60):
    """A 41 mm leg pair of 140 mm stroke by the gas law, the way the findings carry it."""
    area, stroke = math.pi * 0.041**2 / 4, np.linspace(0, 0.14, points)
    extended = air_left_m3 + area * 0.14
    volume = extended - area * stroke
    locked = volume <= 1e-7
    bar = np.where(locked, np.nan, 1.01325 * ((extended / np.where(locked, 1, volume)) ** 1.2 - 1))
    air, spring = 2e5 * bar * area, 2 * 8500 * (0.015 + stroke)

    def listed(values):
        return [None if math.isnan(value) else round(float(value), 3) for value in values]

    return {"name": name, "stroke_mm": listed(stroke * 1e3), "force_n": listed(air + spring),
            "spring_n": listed(spring), "air_n": listed(air), "pressure_bar_left": listed(bar),
            "pressure_bar_right": listed(bar)}


def leg(air, lock, ratio):
    return {"air_volume_compressed_ml": air, "lock_stroke_mm": lock, "compression_ratio": ratio}


def findings(**more):
    full = leg(-29.2, 117.9, None) | {"book": leg(70.8, None, 3.61), "advised": leg(70.8, None, 3.61)}
    sets = dict.fromkeys(("found", "book", "advised"))
    base = {
        "fork": {"left": full, "right": full, "brake_load_n": dict.fromkeys(sets, 2410.0),
                 "usable_stroke_mm": {"found": 80.2, "book": 102.9, "advised": 102.9},
                 "limited_by": {"found": "air ramp", "book": "spring", "advised": "spring"},
                 "free_sag_mm": dict.fromkeys(sets, 25.0), "rider_sag_mm": dict.fromkeys(sets, 40.0),
                 "spread": {"usable_stroke_mm": {"found": [74.0, 86.4]}}},
        "causes": [{"title": "Too much oil", "probability": 0.91}, {"title": "Coil bind <b>", "probability": 0.004}],
        "hidden": [{"name": "excess oil, left leg", "unit": "ml", "low": 81.0, "middle": 99.0, "high": 118.0},
                   {"name": "friction", "unit": "N", "low": 40.0, "middle": 60.0, "high": 90.0}],
        "marks": {"stroke_mm": 140.0, "found": [{"name": "rider sag", "at_mm": 40.0}], "advised": [], "measured": []},
        "curves": [curve("found", -29.2e-6), curve("book", 70.8e-6), curve("advised", 70.8e-6)],
    }
    return base | more


@pytest.fixture(scope="module")
def drawn():
    return {figure["name"]: figure for figure in figures(findings())}


def spaced(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


def words(figure):
    return {spaced(label): spaced(value) for label, value in figure["words"]}


def test_a_full_case_has_every_figure_in_the_order_of_the_report(drawn):
    assert list(drawn) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_figure_has_a_name_a_description_and_a_table(drawn, name):
    svg = ET.fromstring(drawn[name]["svg"])
    assert svg.get("role") == "img"
    assert svg.find(f"{NS}title").text == drawn[name]["title"]
    assert all(value.split("\N{NO-BREAK SPACE}")[0] in svg.find(f"{NS}desc").text for _, value in drawn[name]["words"])
    assert len(drawn[name]["words"]) >= 2


@pytest.mark.parametrize("name", NAMES)
def test_a_strict_page_blocks_nothing_and_dark_pages_have_no_black_ink(drawn, name):
    svg = ET.fromstring(drawn[name]["svg"])
    for element in svg.iter():
        assert "style" not in element.attrib and element.tag not in (f"{NS}style", f"{NS}script", f"{NS}metadata")
        assert element.get("fill", "none") in ("none", "currentColor") or element.get("fill").startswith("url(#")
        assert element.get("stroke", "none") in ("none", "currentColor")
    assert svg.get("fill") == "currentColor"


def test_no_two_figures_share_an_id_and_every_reference_finds_its_own(drawn):
    every = []
    for figure in drawn.values():
        svg = ET.fromstring(figure["svg"])
        ids = [element.get("id") for element in svg.iter() if "id" in element.attrib]
        aims = {value[value.index("#") + 1:].rstrip(")") for element in svg.iter() for key, value in element.items()
                if value.startswith("url(#") or key.endswith("href")}
        assert aims == set(ids)
        every += ids
    assert len(every) == len(set(every))


def test_the_force_table_says_how_far_it_goes_and_what_ends_it(drawn):
    assert words(drawn["force"])["As found: usable stroke"] == "80 mm (74 to 86 mm): the squeezed air holds it up early"
    assert words(drawn["force"])["As found: air runs out, left leg"] == "118 mm"
    assert words(drawn["force"])["Hard braking loads the fork with"] == "2410 N"


def test_the_force_figure_marks_load_sags_lock_and_usable_stroke(drawn):
    told = [spaced(element.text) for element in ET.fromstring(drawn["force"]["svg"]).iter(f"{NS}text")]
    for mark in ("hard braking 2410 N", "80 mm", "103 mm", "free sag 25 mm", "rider sag 40 mm", "air runs out 118 mm",
                 "As found", "As advised, by the book"):
        assert mark in told


def test_a_locked_stroke_is_called_locked_and_never_a_number(drawn):
    assert words(drawn["shares"])["As found: at 140 mm"] == "locked"
    assert "nan" not in "".join(figure["svg"].lower() for figure in drawn.values())


def test_a_rare_cause_is_never_shown_as_nought(drawn):
    assert words(drawn["causes"])["Coil bind <b>"] == "less than 1 in 100"


def test_a_bar_is_as_long_as_its_cause_is_likely(drawn):
    bars = [float(bar.get("width")) for bar in ET.fromstring(drawn["causes"]["svg"]).iter(f"{NS}rect")]
    assert bars[1] / bars[0] == pytest.approx(0.91, abs=0.001)


def test_bars_of_one_unit_share_a_scale_and_nought_is_on_it():
    rows = [{"name": name, "unit": "ml", "low": low, "middle": low + 5, "high": low + 10}
            for name, low in (("left", 40.0), ("right", 90.0))]
    figure = next(f for f in figures(findings(hidden=rows)) if f["name"] == "ranges")
    left, right = ET.fromstring(figure["svg"]).iter(f"{NS}rect")
    assert float(right.get("x")) - float(left.get("x")) == pytest.approx(5 * float(left.get("width")), abs=0.5)


def test_what_is_not_known_has_no_figure():
    assert figures({}) == []
    nothing = findings(curves=[], marks={"stroke_mm": None}, causes=[], hidden=[],
                       fork={"left": None, "right": None, "usable_stroke_mm": None})
    assert figures(nothing) == []


def test_half_known_findings_still_draw():
    half = findings(fork={"left": None, "right": None},
                    curves=[curve("book", 70.8e-6) | {"pressure_bar_left": None, "pressure_bar_right": None}])
    assert [figure["name"] for figure in figures(half)] == ["ruler", "force", "causes", "ranges"]


def test_legs_that_differ_have_a_line_each():
    uneven = curve("found", 70.8e-6) | {"pressure_bar_right": curve("found", 20e-6)["pressure_bar_right"]}
    figure = next(f for f in figures(findings(curves=[uneven])) if f["name"] == "pressure")
    told = [element.text for element in ET.fromstring(figure["svg"]).iter(f"{NS}text")]
    assert {"As found: left leg", "As found: right leg"} <= set(told)


def test_the_same_findings_draw_the_same_picture():
    assert figures(findings()) == figures(findings())


def test_a_web_process_that_never_draws_never_loads_the_plotting_library():
    check = "import sys, reports.figures, reports.ruler; sys.exit('matplotlib' in sys.modules)"
    assert run([sys.executable, "-c", check], check=False).returncode == 0
