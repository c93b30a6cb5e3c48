"""The stroke ruler: everything at its height, nothing on top of anything else, nothing that a strict page blocks."""
from __future__ import annotations

from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.ruler import LARGE, SMALL, ruler_words, spread, stroke_ruler_svg

NS = "{http://www.w3.org/2000/svg}"


def marks(**more):
    base = {"stroke_mm": 140.0,
            "found": [{"name": "rider sag", "at_mm": 39.2}, {"name": "hard braking reaches", "at_mm": 80.2},
                      {"name": "air runs out", "at_mm": 117.9}],
            "advised": [{"name": "rider sag", "at_mm": 42.6}],
            "measured": [{"name": "stops here", "at_mm": 101.0}]}
    return base | more


def drawn(given_marks, size="large"):
    return ET.fromstring(stroke_ruler_svg(given_marks, size))


def texts(svg):
    return [element.text for element in svg.iter(f"{NS}text")]


@pytest.mark.parametrize("size, frame", [("small", SMALL), ("large", LARGE)])
def test_a_mark_lies_at_its_share_of_the_stroke(size, frame):
    ring = next(drawn(marks(), size).iter(f"{NS}circle"))
    share = (float(ring.get("cy")) - frame.top) / (frame.foot - frame.top)
    assert share == pytest.approx(101 / 140, abs=0.002)


def test_found_stands_left_of_the_scale_and_advised_right():
    svg = drawn(marks())
    for side, low, high in (("found", 0, 210), ("advised", 210, 420)):
        group = next(g for g in svg.iter(f"{NS}g") if g.get("class") == f"ruler-{side}")
        assert all(low <= float(rect.get("x")) <= high for rect in group.iter(f"{NS}rect"))


def test_the_titles_of_the_columns_grow_away_from_each_other():
    left, right = (next(t for t in drawn(marks()).iter(f"{NS}text") if t.text == title)
                   for title in ("as found", "as advised"))
    assert (left.get("text-anchor"), right.get("text-anchor")) == ("end", "start")
    assert float(left.get("x")) < float(right.get("x"))


def test_the_column_is_filled_down_to_what_hard_braking_reaches():
    group = next(g for g in drawn(marks()).iter(f"{NS}g") if g.get("class") == "ruler-found")
    filled = next(rect for rect in group.iter(f"{NS}rect"))
    assert float(filled.get("height")) / (LARGE.foot - LARGE.top) == pytest.approx(80.2 / 140, abs=0.002)


def test_only_a_wall_wears_the_stop_colour():
    told = [e.text for g in drawn(marks()).iter(f"{NS}g") if g.get("class") == "stop-ink" for e in g.iter(f"{NS}text")]
    assert told == ["118\N{NO-BREAK SPACE}mm", "air runs out"]


def test_a_wall_past_the_end_of_the_stroke_bars_nothing():
    far = marks(found=[{"name": "coils touch", "at_mm": 170.0}], measured=[])
    walls = [g for g in drawn(far, "small").iter(f"{NS}g") if g.get("class") == "stop-ink"]
    assert not [rect for wall in walls for rect in wall.iter(f"{NS}rect")]


@pytest.mark.parametrize("size", ["small", "large"])
def test_a_strict_page_blocks_nothing_in_it(size):
    svg = drawn(marks(), size)
    assert not [e for e in svg.iter() if "style" in e.attrib or e.tag == f"{NS}style" or "id" in e.attrib]


def test_names_are_text_and_never_markup():
    nasty = '<script>alert(1)</script> "&'
    svg = drawn(marks(found=[{"name": nasty, "at_mm": 10.0}]))
    assert nasty in svg.find(f"{NS}desc").text
    assert not list(svg.iter(f"{NS}script"))


def test_it_is_described_for_those_who_do_not_see_it():
    svg = drawn(marks(), "small")
    assert svg.get("role") == "img"
    assert "Measured: stops here 101" in svg.find(f"{NS}desc").text
    assert svg.find(f"{NS}title").text == "Stroke ruler"


def test_every_mark_has_its_row_in_words():
    assert [row[0] for row in ruler_words(marks())] == [
        "Full stroke", "Found: rider sag", "Found: hard braking reaches", "Measured: stops here", "Found: air runs out",
        "Advised: rider sag"]


def test_what_was_measured_stands_below_what_was_worked_out():
    both = marks(measured=[{"name": "rider sag measured", "at_mm": 37.6}])
    told = [text.replace("\N{NO-BREAK SPACE}", " ") for text in texts(drawn(both))]
    assert told[told.index("39 mm"):][:3] == ["39 mm", "rider sag", "measured 38 mm"]
    assert "38 mm" not in told


@pytest.mark.parametrize("nothing", [None, {}, {"stroke_mm": None, "found": [{"name": "rider sag", "at_mm": 30}]},
                                     {"stroke_mm": 140, "found": [{"name": "rider sag", "at_mm": None}]}])
def test_what_is_not_known_is_said_and_never_drawn(nothing):
    svg = drawn(nothing)
    assert texts(svg).count("not known yet") == 2
    assert not [t for t in texts(svg) if t.endswith("\N{NO-BREAK SPACE}mm") and t.startswith("30")]


heights = st.lists(st.floats(0, 140, allow_nan=False), min_size=1, max_size=30)


@given(heights)
def test_labels_never_overlap_and_stay_inside_however_many_there_are(found):
    crowded = marks(found=[{"name": "a name that takes two lines", "at_mm": at} for at in found], measured=[])
    svg = drawn(crowded)
    values = sorted(float(t.get("y")) for t in svg.iter(f"{NS}text")
                    if t.get("font-weight") == "bold" and t.text.endswith("\N{NO-BREAK SPACE}mm")
                    and t.get("text-anchor") == "end")
    assert len(values) == len(found)
    assert all(low - high >= 40 for high, low in pairwise(values))
    assert values[-1] + 30 <= float(svg.get("viewBox").split()[3])


@given(heights)
def test_labels_keep_their_order_and_move_only_where_they_must(wanted):
    wanted = sorted(wanted)
    placed = spread(wanted, 0.001, 0, 140)
    assert placed == pytest.approx(wanted, abs=0.04)
    assert placed == sorted(placed)
