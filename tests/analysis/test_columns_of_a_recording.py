"""A logger's CSV: separators, decimal commas, headings, units, and every fault by its line.  Values are arithmetic."""
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis import csv_rows
from analysis.columns import Column, read_columns
from analysis.csv_rows import LogFaults

TIME, FRONT = Column("Time", "s"), Column("Front", "mm")


def read(text, **columns):
    return read_columns(text, columns or {"time": TIME, "front": FRONT})


def faults(text, **columns):
    with pytest.raises(LogFaults) as refused:
        read(text, **columns)
    return [(fault.path, f"{fault.problem} {fault.mend}") for fault in refused.value.faults]


@pytest.mark.parametrize("text", [
    "Time,Front\n0,1\n0.5,2.5\n",
    "Time;Front\r\n0;1\r\n0,5;2,5\r\n",
    "time\tFRONT\n0\t1\n0,5\t2,5",
    "\ufeffTime;Front\n0;1\n\n0.5;2.5\n;\n",
    "Logger 7;rate 2 Hz\nRider;unknown\nTime;Front\ns;mm\n0;1\n0,5;2,5\n",
    "Front [mm];Other;Time (s)\n1;x;0\n2.5;y;0.5\n",
    'Time;Front\n"0";"1"\n"0,5";"2,5"\n',
    "Time,Front\n0,1\n5e-1,25e-1\n",
    "Time,Front\n0,1\n+.5,2.5\n".encode("utf-16"),
    "Wärme;Time;Front\nx;0;1\ny;0,5;2,5\n".encode("latin-1"),
])
def test_the_same_readings_in_many_dresses(text):
    table = read(text)
    assert table.columns["time"] == pytest.approx([0, 0.5])
    assert table.columns["front"] == pytest.approx([0.001, 0.0025], rel=1e-14)


def test_without_a_heading_columns_are_counted_from_one():
    table = read("0;7;1\n0,5;7;2,5\n", time=Column("1", "s"), front=Column("3", "mm"))
    assert table.columns["front"] == pytest.approx([0.001, 0.0025])
    assert table.lines == (1, 2)


def test_a_unit_is_taken_from_the_person_the_brackets_or_the_line_below():
    inch = 0.0254
    said = read("Time,Front\n0,1\n", time=TIME, front=Column("Front", "mm", "in"))
    brackets = read("Time [ms],Front [in]\n0,1\n", time=TIME, front=FRONT)
    below = read("Time,Front\nms,in\n0,1\n", time=TIME, front=FRONT)
    assert [t.columns["front"][0] for t in (said, brackets, below)] == pytest.approx([inch] * 3)
    assert read("Time [ms],Front\n250,1\n").columns["time"] == pytest.approx([0.25])


def test_a_unit_that_does_not_fit_is_refused():
    assert "you say in" in faults("Time,Front [mm]\n0,1\n", time=TIME, front=Column("Front", "mm", "in"))[0][1]
    assert "both ends" in faults("Time,Front [V]\n0,1\n")[0][1]
    assert "is a mass" in faults("Time,Front\n0,1\n", time=TIME, front=Column("Front", "mm", "kg"))[0][1]
    assert read("Time,Front (L)\n0,1\n").columns["front"] == pytest.approx([0.001])
    assert read("Time,Front [V]\n0,1\n", time=TIME, front=Column("Front", "")).columns["front"] == [1.0]


def test_every_bad_cell_is_named_with_its_line():
    bad = ["nan", "inf", "", "1e999", "1_0", "0x1", "1 2", "--1", "١", "=1+1", "12:30:01"]
    found = faults("Time;Front\n" + "".join(f"{n};{cell}\n" for n, cell in enumerate(["3", *bad])))
    assert [path for path, _ in found] == [f"line {n + 3}" for n in range(len(bad))]
    assert all("Front" in words for _, words in found)


def test_many_bad_cells_are_counted():
    found = faults("Time;Front\n0;1\n" + "1;x\n" * 90)
    assert len(found) == csv_rows.MOST_FAULTS + 1 and "70 more" in found[-1][1]


def test_a_row_that_is_shorter_or_longer_is_named():
    assert [path for path, _ in faults("Time,Front\n0,1\n0,5,2,5\n1\n2,3\n")] == ["line 3", "line 4"]


def test_points_and_commas_in_one_column_are_asked_back():
    (path, words), = faults("Time;Front\n0;1,5\n1;1.250\n")
    assert path == "line 3" and "thousands" in words


def test_a_missing_or_doubled_column_is_named_with_what_there_is():
    (path, words), = faults("Time,Fornt,Rear\n0,1,2\n")
    assert "Front" in path and 'Did you mean "Fornt"' in words and "Rear" in words
    assert "2 columns" in faults("Time,Front,front\n0,1,2\n")[0][1]
    assert len(faults("1,2\n3,4\n", time=Column("0", "s"), front=Column("3", "mm"))) == 2


@pytest.mark.parametrize("raw, words", [
    (b"", "nothing in it"), (b"\n;\n", "nothing in it"), (b"Time,Front\n", "no readings"),
    (b"PK\x03\x04\0\0", "not a text"),
    (b'Time,Front\n0,"1\n', "quotation"), (b"\xff\xfe", "nothing in it"), (b"," * 2000 + b"1", "columns")])
def test_what_is_no_recording_is_refused(raw, words):
    assert words in faults(raw)[0][1]


def test_files_and_rows_have_limits(monkeypatch):
    monkeypatch.setattr(csv_rows, "MOST_ROWS", 3)
    assert "rows" in faults("Time,Front\n" + "0,1\n" * 3)[0][1]
    monkeypatch.setattr(csv_rows, "LARGEST_LOG", 10)
    assert "larger" in faults("Time,Front\n0,1\n")[0][1]


@given(st.lists(st.tuples(*[st.decimals(-9999, 9999, allow_nan=False, places=4)] * 2), min_size=1, max_size=20),
       st.sampled_from([";", "\t"]))
def test_decimal_commas_and_points_read_alike(rows, separator):
    text = "".join(f"{a:f}{separator}{b:f}\n" for a, b in rows)
    point, comma = (read(t, a=Column("1", "s"), b=Column("2", "mm")) for t in (text, text.replace(".", ",")))
    assert np.array_equal(point.columns["b"], comma.columns["b"])
    assert point.columns["b"] == pytest.approx([float(b) / 1000 for _, b in rows])


@given(st.text(max_size=80) | st.binary(max_size=80))
def test_anything_is_read_or_refused_in_words(raw):
    try:
        read(raw, a=Column("1", "s"), b=Column("2", "mm"))
    except LogFaults as refused:
        assert all(fault.path and fault.problem and fault.mend for fault in refused.faults)


def test_a_column_under_a_heading_can_be_named_by_its_place():
    table = read("Time,Front,Front\n0,1,2\n0.5,3,4\n", time=TIME, front=Column("3", "mm"))
    assert table.columns["front"] == pytest.approx([0.002, 0.004])


def test_two_columns_of_one_name_are_not_guessed_between():
    (path, words), = faults("Time,Front,Front\n0,1,2\n")
    assert "Front" in path and "2 columns" in words and "Rename" in words


def test_a_quotation_mark_left_open_is_named_by_its_line():
    ((path, _),) = faults('Time,Front\n0,1\n0.5,"2\n1,3"\n')
    assert path == "line 3"
