"""``manage.py travel-log``: a recording in, what it says out, no database."""
from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
from django.core.management import call_command

from reports.terminal_log import travel_summary

DEMO = Path(__file__).parents[2] / "fixtures/demo/01-wall-after-the-oil-change.json"
TIME = np.arange(0, 10, 0.0025)
FRONT = 50 + 45 * np.sin(2 * np.pi * 1.7 * TIME)


@pytest.fixture
def log(tmp_path):
    path = tmp_path / "ride.csv"
    rows = "".join(f"{t:.4f};{x:.3f};{x / 3:.3f};{3.9 - x / 140 * 3:.5f}\n" for t, x in zip(TIME, FRONT, strict=True))
    path.write_text("Clock [s];Fork;Shock;Volts\n" + rows)
    return str(path)


def read(*arguments):
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("travel-log", *arguments, stdout=out, stderr=err)
    except SystemExit as ended:
        return ended.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_it_prints_what_a_person_wants_to_know(log):
    status, out, err = read(log, "--time", "clock", "--front", "fork", "--rear", "3", "--stroke", "140")
    assert status == 0 and err == ""
    for words in ("Front: 10.0 s", "95.0 mm (68 % of full stroke)", "Ride height", "Deepest visits", "smooth",
                  "Share of the time at each speed", "Rear: ", "31.7 mm"):
        assert words in out


def test_json_is_the_same_in_millimetres_volts_and_with_a_zero(log):
    plain, volts, moved = (read(log, "--time", "1", "--stroke", "140 mm", "--json", *more)[1] for more in (
        ("--front", "Fork"), ("--front", "Volts", "--zero", "3,9", "--full", "0.9"),
        ("--front", "Fork", "--zero", "0.2 in")))
    one, two, other = (json.loads(text)["front"] for text in (plain, volts, moved))
    assert (one["used_mm"], one["used_percent"]) == (two["used_mm"], two["used_percent"]) == (95.0, 67.9)
    assert other["used_mm"] == pytest.approx(95 - 5.1, abs=0.05)
    assert json.loads(plain)["rear"] is None


def test_with_a_case_it_holds_the_log_against_the_predicted_stops(log):
    status, out, _ = read(log, "--time", "Clock", "--front", "Fork", "--case", str(DEMO), "--json")
    front = json.loads(out)["front"]
    assert status == 0 and front["stroke_mm"] == 140
    assert {"full stroke", "hard braking reaches"} <= {row["name"] for row in front["agreement"]}
    assert "predicted stop" in front["near"] and front["near"]["predicted stop"] is not None
    assert "Against the prediction" in travel_summary({"front": front})


@pytest.mark.parametrize("arguments, words", [
    (("--time", "Clock"), ["--front"]),
    (("--time", "Clock", "--front", "Fork", "--near", "soft", "--stroke", "2 kg", "--zero", "x"),
     ["3 faults", "--near", "--stroke", "--zero"]),
    (("--time", "Clock", "--front", "Fork", "--near", "0", "--stroke", "-1"), ["2 faults", "above zero"]),
    (("--time", "Clock", "--front", "Volts", "--full", "3"), ["--zero"]),
    (("--time", "Clock", "--front", "Volts", "--full", "3", "--zero", "1"), ["stroke"]),
    (("--time", "Tick", "--front", "Fro", "--rear", "9"), ["3 faults", '"Tick"', '"Fro"', '"9"', '"Fork"']),
    (("--time", "Clock", "--front", "Fork", "--unit", "kg"), ["mass"]),
    (("--time", "Shock", "--front", "Fork"), ["line", "backwards"])])
def test_bad_options_are_refused_with_every_fault(log, arguments, words):
    status, out, err = read(log, *arguments)
    assert status == 2 and out == "" and all(word in err for word in words)


def test_bad_lines_are_named_and_nothing_is_printed(tmp_path):
    path = tmp_path / "bad.csv"
    path.write_text("t;x\n0;1\n0,1;nan\n0,2\n0,3;4\n")
    status, out, err = read(str(path), "--time", "t", "--front", "x")
    assert status == 2 and out == "" and "line 4" in err
    path.write_text("t;x\n0;1\n0,1;nan\nx;3\n")
    status, out, err = read(str(path), "--time", "t", "--front", "x")
    assert status == 2 and "2 faults" in err and "line 3" in err and "line 4" in err


def test_files_that_are_not_there_or_no_case_are_named(log, tmp_path):
    assert "no such file" in read(str(tmp_path / "gone.csv"), "--time", "1", "--front", "2")[2]
    bad = tmp_path / "case.json"
    bad.write_text('{"bike": {"mass_kg": -5}}')
    status, _, err = read(log, "--time", "1", "--front", "2", "--case", str(bad))
    assert status == 2 and "bike.mass_kg" in err


@pytest.mark.parametrize("width", [40, 80])
def test_lines_fit_the_window(log, width):
    part = json.loads(read(log, "--time", "1", "--front", "2", "--stroke", "80", "--json")[1])
    assert "Trouble" in travel_summary(part, width)
    assert max(len(line) for line in travel_summary(part, width).split("\n")) <= width
