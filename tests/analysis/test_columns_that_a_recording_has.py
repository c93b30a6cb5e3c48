"""A recording's columns are listed as a person will ask for them, with their first readings, and nothing guessed."""
from __future__ import annotations

import pytest

from analysis.columns import Column, read_columns
from analysis.columns_seen import columns_seen
from analysis.csv_rows import LogFaults

READINGS = "".join(f"{n / 100};{n};{2 * n}\n" for n in range(30))


@pytest.mark.parametrize("head, names", [
    ("Time;Fork [mm];Shock\n", ["Time", "Fork [mm]", "Shock"]),
    ("Time;Fork;Shock\ns;mm;mm\n", ["Time", "Fork", "Shock"]),
    ("A logger's name\nmade on a Tuesday\nTime;Fork;Shock\n", ["Time", "Fork", "Shock"]),
    ("", ["1", "2", "3"]), ("Time;Travel;Travel\n", ["Time", "2", "3"]), ("Time;;7\n", ["Time", "2", "3"])])
def test_a_column_is_called_by_its_heading_or_by_its_place(head: str, names: list[str]) -> None:
    seen = columns_seen(head + READINGS)
    assert [one.name for one in seen] == names
    assert seen[2].first == ("0", "2", "4", "6")


def test_every_name_that_is_listed_can_be_asked_for() -> None:
    for head in ("Time;Fork [mm];Shock\n", "", "Time;Travel;Travel\n", "Time;;7\n"):
        seen = columns_seen(head + READINGS)
        read = read_columns(head + READINGS, {one.name: Column(one.name, "") for one in seen})
        assert [values[1] for values in read.columns.values()] == [0.01, 1.0, 2.0]


def test_a_text_without_readings_is_refused_with_what_to_do() -> None:
    with pytest.raises(LogFaults) as bad:
        columns_seen("some words\nand others\n")
    assert "one reading a line" in bad.value.faults[0].mend
