"""Two texts side by side: every word of both is there, and only what differs is marked."""
from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from reports.desk_differences import differences, unchanged_apart

TEXT = st.lists(st.text(alphabet="ab <&.", max_size=12), max_size=8).map("\n".join)


def side(lines, name):
    return ["".join(words for _, words in getattr(line, name)) for line in lines]


@given(TEXT, TEXT)
def test_no_word_of_either_text_is_lost(old, new):
    lines = differences(old, new)
    assert [line for line in side(lines, "old") if line] == [line for line in old.split("\n") if line]
    assert [line for line in side(lines, "new") if line] == [line for line in new.split("\n") if line]


@given(TEXT, TEXT)
def test_what_is_kept_is_the_same_on_both_sides(old, new):
    for line in differences(old, new):
        kept = [[words for kind, words in part if kind == "kept"] for part in (line.old, line.new)]
        assert kept[0] == kept[1]


@given(TEXT)
def test_equal_texts_have_no_marks(text):
    assert all(line.same for line in differences(text, text))


def test_one_changed_word_is_the_only_mark():
    (line,) = differences("Draw off 100 ml.", "Draw off 95 ml.")
    assert line.old == (("kept", "Draw off "), ("gone", "100"), ("kept", " ml."))
    assert line.new == (("kept", "Draw off "), ("new", "95"), ("kept", " ml."))


def test_long_stretches_that_are_the_same_are_left_out_once():
    old = [f"line {number}" for number in range(30)]
    new = [*old[:10], "changed", *old[11:]]
    shown = list(unchanged_apart(differences("\n".join(old), "\n".join(new)), around=2))
    assert [line is None for line in shown] == [True, False, False, False, False, False, True]
