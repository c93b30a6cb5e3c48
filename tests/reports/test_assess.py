"""``manage.py assess``: one file in, findings out, no database."""
from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from subprocess import run

import pytest
from django.core.management import call_command

from reports.terminal import summary

CASE = {
    "schema": 1, "title": "Stops half way",
    "bike": {"mass_kg": 205, "front_share": 0.49, "unsprung_front_kg": 15, "rake_deg": 24.5},
    "rider": {"mass_kg": 85, "can": ["helper", "tape", "stand", "caps"]},
    "fork": {"damper": "damper rod", "travel_mm": 140, **{side: {
        "stanchion_diameter_mm": 41, "bore_diameter_mm": 36.1, "oil_level_mm": {"value": 42, "known": "measured"},
        "oil_level_book_mm": 140, "steel_volume_ml": 55, "cap_intrusion_ml": 18, "spring": {"rate_n_per_mm": 8.5},
        "preload_fixed_mm": 15} for side in ("left", "right")}},
    "bench": {"travel": {"used_mm": 101, "end_feel": "stops dead"}},
}


@pytest.fixture
def case_file(tmp_path):
    def write(content) -> str:
        path = tmp_path / "case.json"
        path.write_bytes(content if isinstance(content, bytes) else json.dumps(content).encode())
        return str(path)
    return write


def assess(*arguments):
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("assess", *arguments, stdout=out, stderr=err)
    except SystemExit as ended:
        return ended.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_it_prints_a_summary_with_verdict_table_and_causes(case_file):
    status, out, err = assess(case_file(CASE))
    assert status == 0 and err == ""
    for words in ("RIDING", "ANSWER", "As found", "By the book", "As advised", "Usable stroke", "air runs out",
                  "Which story fits", "Take care", "Stops half way"):
        assert words in out
    assert "\x1b" not in out


def test_it_says_what_weighed_most_and_which_leg_lacks_an_answer(case_file):
    _, said, _ = assess(case_file(CASE))
    assert "What weighed most" in said and "times as likely." in said
    _, said, _ = assess(case_file({"schema": 1}))
    assert "Oil level as it is now, left leg: It settles" in said


def test_json_prints_the_findings_and_nothing_else(case_file):
    status, out, _ = assess(case_file(CASE), "--json")
    findings = json.loads(out)
    assert status == 0 and findings["schema"] == 1
    # The bore 36.1 mm, 98 mm more oil: 100.3 ml.  Arithmetic.
    assert findings["fork"]["left"]["excess_oil_ml"] == pytest.approx(100.3, abs=0.2)


def test_the_same_seed_gives_the_same_findings(case_file):
    first, again, other = (assess(case_file(CASE), "--json", *seed)[1] for seed in ((), (), ("--seed", "7")))
    assert first == again != other


def test_pdf_writes_the_report(case_file, tmp_path):
    status, out, _ = assess(case_file(CASE), "--pdf", str(tmp_path / "report.pdf"))
    assert status == 0 and "ANSWER" in out
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")


def test_a_pdf_that_cannot_be_written_is_said(case_file, tmp_path):
    status, out, err = assess(case_file(CASE), "--pdf", str(tmp_path / "nowhere" / "report.pdf"))
    assert status == 2 and "Cannot write" in err and out == ""


def test_a_bad_document_names_every_fault_with_its_path_and_ends_with_two(case_file):
    bad = CASE | {"bike": {"mass_kg": -5, "wheelbase": 1400}, "rider": {"mass_kg": "heavy"}}
    status, out, err = assess(case_file(bad))
    assert status == 2 and out == ""
    assert "3 faults" in err
    assert all(path in err for path in ("bike.mass_kg", "bike.wheelbase", "rider.mass_kg"))


@pytest.mark.parametrize("content, words", [
    (b"{", "not JSON"), (b"\xff\xfe\x00", "UTF-8"), (b'{"bike": 1, "bike": 2}', "bike"), (b"[]", "document"),
    (b'{"bike": {"mass_kg": NaN}}', "NaN"), (b"[" * 100_000, "")])
def test_what_is_no_case_document_is_refused_in_words(case_file, content, words):
    status, out, err = assess(case_file(content))
    assert status == 2 and out == "" and words in err and "Traceback" not in err


def test_a_file_that_is_not_there_is_named(tmp_path):
    status, _, err = assess(str(tmp_path / "gone.json"))
    assert status == 2 and "gone.json" in err and "no such file" in err


def test_a_negative_seed_is_refused(case_file):
    assert assess(case_file(CASE), "--seed", "-1")[0] == 2


def test_an_empty_case_is_no_crash_and_no_verdict(case_file):
    status, out, _ = assess(case_file({"schema": 1}))
    assert status == 0 and "cannot tell yet" in out


def test_a_stop_sign_is_the_first_thing_said(case_file):
    status, out, _ = assess(case_file(CASE | {"safety": {"crack_or_crease": True}}))
    assert status == 0 and "RIDING  Do not ride this motorcycle." in out
    assert "draw off" not in out.lower()


@pytest.mark.parametrize("width", [40, 80, 100])
def test_lines_fit_the_window(case_file, width):
    findings = json.loads(assess(case_file(CASE), "--json")[1])
    longest = max(len(line) for line in summary(findings, width=width).split("\n"))
    assert longest <= width


def test_a_title_cannot_steer_the_terminal(case_file):
    _, out, err = assess(case_file(CASE | {"title": "a\x1b[31mred"}))
    assert "\x1b" not in out + err


def test_it_reads_standard_input_and_needs_no_database_and_no_wide_encoding(tmp_path):
    root = Path(__file__).parents[2]
    env = {"PYTHONIOENCODING": "ascii", "DATABASE_URL": f"sqlite:///{tmp_path}/none/at/all.db", "PATH": "/usr/bin:/bin",
           "FARBENCH_DATA": str(tmp_path)}
    done = run([sys.executable, "manage.py", "assess", "-"], input=json.dumps(CASE).encode(), cwd=root, env=env,
               capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()
    assert b"ANSWER" in done.stdout and done.stdout.isascii()
