"""A tuner hands a data logger's CSV to a case: its columns are mapped, what it says stays on file, faults are named."""
from __future__ import annotations

import json
import zipfile
from io import BytesIO
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.urls import reverse

from intake import services as cases
from intake.models import Case
from reports import services
from reports.models import Draft, TravelLog
from reports.services import travel_logs
from reports.take_along import archive
from tests.letter_cases import drafted_letter, handed_in, use_fake_engine

pytestmark = pytest.mark.django_db
TIME = np.arange(0, 5, 0.0025)
FRONT = 50 + 45 * np.sin(2 * np.pi * 1.7 * TIME)
RIDE = ("Clock [s];Fork;Shock;Volts\n" + "".join(
    f"{t:.4f};{x:.3f};{x / 3:.3f};{3.9 - x / 140 * 3:.5f}\n" for t, x in zip(TIME, FRONT, strict=True))).encode()
COLUMNS = {"time": "Clock [s]", "front": "Fork", "front_stroke": "140 mm", "near": "5 mm"}
PREDICTED = {"usable_stroke_mm": {"found": 94.0}, "spread": {"usable_stroke_mm": {"found": [90.0, 98.0]}},
             "left": {"lock_stroke_mm": 80.0, "spread": {"lock_stroke_mm": 1.0}}}


@pytest.fixture
def case(monkeypatch) -> Case:
    use_fake_engine(monkeypatch, fork=PREDICTED)
    return drafted_letter(handed_in()).round.case


def add(who, case, raw=RIDE, name="ride.csv"):
    return who.client.post(reverse("travel-logs", args=[case.number]), {"recording": SimpleUploadedFile(name, raw)})


def read(who, case, **typed):
    log = TravelLog.objects.get()
    return who.client.post(reverse("travel-log", args=[case.number, log.pk]), COLUMNS | typed)


def shown(who, case) -> str:
    log = TravelLog.objects.get()
    return who.client.get(reverse("travel-log", args=[case.number, log.pk])).content.decode()


def test_after_the_file_its_columns_are_shown_with_their_first_readings(tuner, case):
    answer = add(tuner, case)
    log = TravelLog.objects.get()
    assert answer["Location"] == reverse("travel-log", args=[case.number, log.pk])
    page = shown(tuner, case)
    assert "Clock [s]: 0.0000, 0.0025" in page and "Volts: " in page
    assert "ride.csv" in tuner.client.get(reverse("travel-logs", args=[case.number])).content.decode()


def test_once_mapped_the_page_shows_what_it_says_and_how_it_agrees_with_the_findings(tuner, case):
    add(tuner, case)
    assert read(tuner, case).status_code == 302
    page = shown(tuner, case)
    for words in ("95.0\u00a0mm (68\u00a0% of full stroke)", "Deepest visits", "Share of the time at each speed",
                  "the air of the left leg runs out", "Went beyond", "hard braking reaches"):
        assert words in page, words
    drawn = page[page.index("<figure>") + len("<figure>"):page.index("</figure>")]
    assert ET.fromstring(drawn).get("role") == "img"
    log = TravelLog.objects.get()
    assert log.summary["front"]["used_mm"] == 95.0 and log.summary["rear"] is None
    assert log.draft == Draft.objects.get() and log.mapping["front"] == "Fork"


def test_volts_and_readings_at_both_ends_come_to_the_same_travel(tuner, case):
    add(tuner, case)
    read(tuner, case, front="Volts", front_zero="3,9", front_full="0.9", rear="Shock", rear_stroke="52 mm")
    log = TravelLog.objects.get()
    assert log.summary["front"]["used_mm"] == 95.0 and log.summary["rear"]["used_mm"] == 31.7


def test_a_stroke_that_is_left_out_is_the_cases_own(tuner, case):
    case.rounds.update(document={"schema": 1, "fork": {"travel_mm": 120}})
    add(tuner, case)
    read(tuner, case, front_stroke="")
    assert TravelLog.objects.get().summary["front"]["stroke_mm"] == 120


@pytest.mark.parametrize("typed, words", [
    ({"front": ""}, ["Name Fork, Shock, or both"]),
    ({"near": "soft", "front_stroke": "2 kg"}, ["2 things to mend", "Near an end", "Fork, full stroke"]),
    ({"front": "Volts", "front_full": "3"}, ["Fork, reading at full extension"]),
    ({"time": "Shock"}, ["Line", "backwards"]), ({"unit": "kg"}, ["mass"])])
def test_what_cannot_be_read_is_named_and_what_was_typed_stays(tuner, case, typed, words):
    add(tuner, case)
    answer = read(tuner, case, **typed)
    page = answer.content.decode()
    assert answer.status_code == 422 and all(word in page for word in words), page
    assert TravelLog.objects.get().summary is None
    assert all(f'value="{value}"' in page for value in typed.values() if value)


def test_bad_lines_are_named_one_by_one_and_an_earlier_reading_stays(tuner, case):
    add(tuner, case, RIDE + b"5.1;nan;1;1\n5.2;broken;1;1\n")
    page = read(tuner, case).content.decode()
    assert "2 things to mend" in page and "Line 2002" in page and "Line 2003" in page


@pytest.mark.parametrize("raw, words", [
    (b"\n\n", "there is nothing in it"), (b"\x00\x01\x02", "not a text file"),
    (b"only words\nand more\n", "no line of it")])
def test_a_file_that_is_no_recording_is_refused_and_not_kept(tuner, case, raw, words):
    answer = add(tuner, case, raw)
    page = answer.content.decode()
    assert answer.status_code == 422 and words in page and not TravelLog.objects.exists()


def test_a_file_that_is_too_large_to_keep_is_refused(tuner, case, monkeypatch):
    monkeypatch.setattr(travel_logs, "MOST_PACKED", 1000)
    answer = add(tuner, case)
    assert answer.status_code == 409 and "compressed" in answer.content.decode() and not TravelLog.objects.exists()
    monkeypatch.setattr(travel_logs, "MOST_BYTES", 1_000)
    assert "Cut out the part of interest" in add(tuner, case).content.decode()


def test_the_file_comes_back_as_it_was_and_can_be_removed(tuner, case):
    add(tuner, case)
    log = TravelLog.objects.get()
    assert len(bytes(log.packed)) < len(RIDE)
    answer = tuner.client.get(reverse("travel-log-file", args=[case.number, log.pk]))
    assert answer.content == RIDE and "ride.csv" in answer["Content-Disposition"]
    tuner.client.post(reverse("travel-log-remove", args=[case.number, log.pk]))
    assert not TravelLog.objects.exists()
    said = list(case.events.order_by("id").values_list("what", flat=True))
    assert said[-2:] == ["Added a travel log.", "Removed a travel log."]


def test_newer_findings_ask_for_another_reading(tuner, case):
    add(tuner, case)
    read(tuner, case)
    assert "newer findings" not in shown(tuner, case)
    first = Draft.objects.get()
    Draft.objects.create(round=first.round, revision=first.revision + 1, engine_version="1.0.0",
                         findings=first.findings, letter_text="-")
    assert "newer findings" in shown(tuner, case)


def test_the_letter_gets_a_line_in_its_own_language(tuner, case):
    add(tuner, case)
    read(tuner, case)
    assert "- Travel log: the fork used 95\u00a0mm of 140\u00a0mm in 5\u00a0s." in shown(tuner, case)
    edit = tuner.client.get(reverse("letter-edit", args=[case.number])).content.decode()
    assert "- Travel log: the fork used" in edit
    Case.objects.filter(pk=case.pk).update(language="de")
    assert "- Aufzeichnung des Federwegs: Die Gabel nutzte 95\u00a0mm von 140" in shown(tuner, case)


def test_only_tuners_come_to_it_and_only_under_its_own_case(tuner, rider, shop, stranger, case):
    add(tuner, case)
    log = TravelLog.objects.get()
    names = [("travel-logs", []), ("travel-log", [log.pk]), ("travel-log-file", [log.pk])]
    for who in (rider, shop, stranger):
        for name, more in names:
            answer = who.client.get(reverse(name, args=[case.number, *more]))
            assert answer.status_code == 302 and reverse("sign-in") in answer["Location"]
        assert who.client.post(reverse("travel-log-remove", args=[case.number, log.pk])).status_code == 302
        add(who, case)
    assert TravelLog.objects.count() == 1
    for name, more in names[1:]:
        assert tuner.client.get(reverse(name, args=[rider.case.number, *more])).status_code == 404


def test_it_goes_along_with_all_data_and_goes_with_an_erased_case(tuner, case):
    add(tuner, case, name="quill feather.csv")
    read(tuner, case)
    with zipfile.ZipFile(BytesIO(b"".join(archive(case)))) as packed:
        name = next(name for name in packed.namelist() if name.startswith("travel-logs/"))
        assert name.endswith("quill-feather.csv") and packed.read(name) == RIDE
    cases.erase_case(case=case, typed=case.number)
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM reports_travellog")
        assert cursor.fetchone() == (0,)


def test_a_round_without_findings_is_read_and_says_so(tuner, rider):
    add(tuner, rider.case)
    read(tuner, rider.case)
    log = TravelLog.objects.get()
    assert log.draft is None and "no findings yet" in shown(tuner, rider.case)
    assert json.dumps(log.summary["front"]["agreement"]).count("full stroke") <= 1


def test_a_round_takes_ten_recordings_and_no_more(tuner, case, monkeypatch):
    monkeypatch.setattr(travel_logs, "MOST_LOGS", 1)
    assert add(tuner, case).status_code == 302
    assert add(tuner, case).status_code == 409 and TravelLog.objects.count() == 1
    assert services.recording(log=TravelLog.objects.get()) == RIDE
