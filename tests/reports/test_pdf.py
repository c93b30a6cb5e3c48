"""The printed report: tagged, readable by machine, and never stopped by a character it has no letter for."""
from __future__ import annotations

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from reports.pdf import printable, report_pdf

HEAD = {"number": "FB-7K3QX9", "round": 1, "rider_name": "Rider", "date": "3 May 2026", "title": "Stops hard",
        "tuner": "Tuner"}
LETTER = ("Hello,\n\n**Riding:** fine.\n\n## The one thing to do now\n\n1. Draw off 100 ml.\n2. Measure.\n\n"
          "## Then\n\n- Write.\n")
SVG = ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20"><g class="stop-ink" color="#b4160a">'
       '<rect width="30" height="10" fill="currentColor"/></g><text x="2" y="18" font-size="6">mm</text></svg>')
FIGURES = [{"name": "ruler", "title": "Stroke ruler", "svg": SVG, "words": [["Full stroke", "140 mm"]]},
           {"name": "force", "title": "Force against stroke", "svg": SVG, "words": [["Usable stroke", "96 mm"]]}]
LEG = {"level_now_mm": 42.0, "level_to_set_mm": 140.0, "level_tolerance_mm": 2.0, "draw_off_ml": 99.8,
       "dry_fill_ml": None, "drained_fill_ml": None, "not_pumped_fill_ml": None, "air_volume_ml": 70.3, "ratio": 3.63,
       "spread": {"draw_off_ml": 5.1}}
SERVICE = {"left": LEG, "right": LEG | {"draw_off_ml": -12.0}, "difference_ml": 111.8,
           "order": ["Preload right out"], "check_after": ["Look for oil on the brake"], "workshop_only": False}


def report(letter=LETTER, findings=None, figures=FIGURES, head=HEAD):
    made = report_pdf(letter, {"service": SERVICE} if findings is None else findings, figures, head)
    return PdfReader(io.BytesIO(made))


@pytest.fixture(scope="module")
def full():
    return report()


def told(pdf):
    return " ".join(" ".join(page.extract_text() for page in pdf.pages).replace("\N{NO-BREAK SPACE}", " ").split())


def tags(pdf):
    """Every structure element's kind, with its alternative text where it has one."""
    found, open_ = [], [pdf.root_object["/StructTreeRoot"]]
    while open_:
        element = open_.pop().get_object()
        if isinstance(element, list):
            open_ += element
        elif isinstance(element, dict):
            found.append((element.get("/S"), element.get("/Alt")))
            open_ += [element["/K"]] if "/K" in element else []
    return found


def test_it_is_tagged_with_title_language_and_author(full):
    root = full.root_object
    assert root["/MarkInfo"]["/Marked"] is not False and root["/Lang"].startswith("en")
    assert full.metadata.title == "Suspension report FB-7K3QX9" and full.metadata.author == "Tuner"
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()


def test_headings_lists_and_tables_are_tagged_as_such(full):
    kinds = {kind for kind, _ in tags(full)}
    assert {"/H1", "/H2", "/P", "/L", "/LI", "/Table", "/TH", "/TD", "/Figure"} <= kinds


def test_every_figure_is_described(full):
    described = [alt for kind, alt in tags(full) if kind == "/Figure"]
    assert len(described) == 2 and any("Full stroke: 140 mm" in alt for alt in described)


def test_the_letter_comes_first_then_figures_then_the_service_sheet(full):
    text = told(full)
    places = [text.index(words) for words in ("The one thing to do now", "Figures and their numbers", "Usable stroke",
                                              "Service sheet for the workshop", "Preload right out")]
    assert places == sorted(places)


def test_the_sheet_has_amounts_per_leg_and_leaves_torques_to_the_manual(full):
    text = told(full)
    assert "100 ± 5 ml" in text and "add 12" in text and "140 ± 2 mm" in text
    assert "Torque, from your manual" in text and "Nm" not in text and "N·m" not in text
    assert "stamp" in text and "job number" in text and "Measured before and after" in text


def test_a_bike_that_must_not_be_ridden_gets_its_letter_alone():
    text = told(report(findings={"service": SERVICE, "stop_riding": True}))
    assert "Do not ride this motorcycle." in text
    assert "Service sheet" not in text and "Figures" not in text and "100 ±" not in text


def test_without_figures_or_sheet_it_is_a_letter():
    assert len(report(findings={}, figures=[], head={}).pages) == 1


@pytest.mark.parametrize("name", ["Ελένη", "Олег", "Jörg Ñandú Łukasz", "Nguyễn", "דוד", "محمد"])
def test_names_of_many_scripts_print(name):
    assert report_pdf(f"Hello {name},", {}, [], HEAD | {"title": name})


@pytest.mark.parametrize("text", ["漢字 かな 한국어", "😀 👨‍👩‍👧 🏍️", "हिन्दी ไทย", "a\x00b\x07c", "\ud83d lone",
                                  "\ufffe\uffff\ufdd0", "\U0001fffe", "\ue000", "\u202eabc", "Z̸̡͘a̵l̷g̸o̵" * 20])
def test_a_character_without_a_letter_never_stops_the_print(text):
    assert report_pdf(text, {}, [{**FIGURES[1], "words": [[text, text]]}], HEAD | {"title": text, "tuner": text})


@settings(max_examples=25)
@given(st.text(max_size=200))
def test_no_text_stops_the_print(text):
    assert report_pdf(text, {}, [], {"title": text})


def test_nothing_typed_is_read_as_markup():
    nasty = '#panic("x") $1+1$ @label <tag> `raw` #read("/etc/passwd") \\ *not bold* = heading'
    assert 'panic("x") $1+1$ @label <tag>' in told(report(f"Hello {nasty}", head=HEAD | {"title": nasty}))


def test_direction_controls_are_taken_out_and_lines_kept():
    assert printable({"a": ["x\u202ey\nz\x00", 1.5, None]}) == {"a": ["xy\nz\ufffd", 1.5, None]}
