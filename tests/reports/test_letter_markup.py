"""A letter's marks mean the same on the page, in print and in the mail, and nothing else gets through."""
from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports import markup

LETTER = """## What we found

Most likely **too much oil** in _both_ legs.

- Draw off 100 ml
- Set 140 mm

3. Bolts
4. Ride
"""


def test_headings_lists_and_bold_become_html():
    page = markup.html(LETTER)
    assert "<h2>What we found</h2>" in page
    assert "<strong>too much oil</strong>" in page
    assert "<li>Set 140 mm</li>" in page
    assert '<ol start="3">' in page


def test_blocks_keep_the_order_and_the_looks():
    kinds = [(block["kind"], block["level"]) for block in markup.blocks(LETTER)]
    assert kinds == [("heading", 2), ("paragraph", 0), ("bullet", 1), ("bullet", 1), ("number", 1), ("number", 1)]
    assert markup.blocks(LETTER)[1]["spans"] == [
        {"text": "Most likely ", "bold": False, "italic": False},
        {"text": "too much oil", "bold": True, "italic": False},
        {"text": " in ", "bold": False, "italic": False},
        {"text": "both", "bold": False, "italic": True},
        {"text": " legs.", "bold": False, "italic": False},
    ]


def test_a_numbered_list_keeps_the_number_it_was_given():
    assert [block.get("ordinal") for block in markup.blocks(LETTER)][-2:] == [3, 4]


def test_a_second_paragraph_of_an_item_is_not_a_second_item():
    kinds = [(block["kind"], block["level"]) for block in markup.blocks("- one\n\n  more of one\n- two")]
    assert kinds == [("bullet", 1), ("paragraph", 1), ("bullet", 1)]


def test_the_mail_has_no_marks_left():
    assert markup.plain(LETTER) == (
        "What we found\n-------------\n\nMost likely too much oil in both legs.\n\n"
        "- Draw off 100 ml\n- Set 140 mm\n\n3. Bolts\n4. Ride\n"
    )


def test_a_typed_line_break_stays_one():
    assert "<br" in markup.html("Regards,\nthe tuner")
    assert markup.plain("Regards,\nthe tuner") == "Regards,\nthe tuner\n"


@pytest.mark.parametrize("attack", [
    "<script>alert(1)</script>",
    "[press](javascript:alert(1))",
    "![x](http://elsewhere.example/pixel.png)",
    "## <img src=x onerror=alert(1)>",
    "<http://elsewhere.example>",
])
def test_html_and_links_stay_plain_text(attack):
    page = markup.html(attack)
    assert "<script" not in page and "<img" not in page and "<a " not in page


@given(st.text(alphabet="ab *_#-1.<>&\n\\\"'`[]()", max_size=80))
def test_any_text_survives_and_only_known_tags_come_out(text):
    import re

    allowed = {"h2", "h3", "h4", "h5", "h6", "p", "ul", "ol", "li", "strong", "em", "br"}
    assert set(re.findall(r"</?([a-z0-9]+)", markup.html(text))) <= allowed
    for letter in "ab":
        written = "".join(span["text"] for block in markup.blocks(text) for span in block["spans"])
        assert written.count(letter) == text.count(letter)
    markup.plain(text)
