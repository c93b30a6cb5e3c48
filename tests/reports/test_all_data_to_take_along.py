"""A rider takes everything along: one zip, made while it is sent, readable by people and by programs."""
from __future__ import annotations

import csv
import io
import json
import zipfile

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from analysis.document import faults_of
from intake import services as cases
from intake.photo_making import add_photo_at_once
from reports.models import Letter
from reports.take_along import archive, as_csv, plain_cell
from tests.letter_cases import PDF, approved_letter, use_fake_engine

pytestmark = pytest.mark.django_db
FORMULA = '=HYPERLINK("http://bad.example","click")'


@pytest.fixture
def case(rider, monkeypatch, tmp_path):
    use_fake_engine(monkeypatch)
    Image.new("RGB", (40, 30), "grey").save(tmp_path / "a.jpg")
    photo = SimpleUploadedFile("a.jpg", (tmp_path / "a.jpg").read_bytes(), "image/jpeg")
    round = cases.save_answers(round=rider.case.current_round, answers={
        "complaint.words": FORMULA, "bike.mass_kg": {"value": "430 lb", "known": "documented"}})
    add_photo_at_once(round=round, place="look", upload=photo, caption="<b>left</b> tube")
    approved_letter(cases.hand_in(round=round, who="rider"))
    rider.case.refresh_from_db()
    return rider.case


def unpacked(rider) -> zipfile.ZipFile:
    answer = rider.client.get(reverse("take-along", args=[rider.case.number]))
    assert answer.status_code == 200 and answer.streaming and "no-store" in answer["Cache-Control"]
    found = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    assert found.testzip() is None
    return found


def test_it_holds_documents_letters_photos_and_diary(rider, case):
    packed = unpacked(rider)
    photo = next(name for name in packed.namelist() if name.startswith("photos/"))
    assert set(packed.namelist()) == {
        "index.html", "rounds/round-1.json", "letters/round-1.pdf", "letters/round-1.txt", "answers.csv", "diary.csv",
        photo}
    assert packed.read("letters/round-1.pdf") == PDF and b"too much oil" in packed.read("letters/round-1.txt").lower()
    assert Image.open(io.BytesIO(packed.read(photo))).size == (40, 30)
    document = json.loads(packed.read("rounds/round-1.json"))
    assert document == case.current_round.document and not faults_of(document)


def test_the_index_is_read_by_people_and_is_no_trap(rider, case):
    page = unpacked(rider).read("index.html").decode()
    assert case.number in page and "430 lb" in page and "<script" not in page
    assert "&lt;b&gt;left&lt;/b&gt; tube" in page and "photos/round-1/" in page


def test_no_cell_is_taken_for_a_formula(rider, case):
    packed = unpacked(rider)
    for name in ("answers.csv", "diary.csv"):
        rows = list(csv.reader(io.StringIO(packed.read(name).decode("utf-8-sig"))))
        assert len(rows) > 2
        assert not [cell for row in rows for cell in row if cell.lstrip().startswith(("=", "+", "-", "@"))]
    assert "'" + FORMULA in [cell for row in csv.reader(
        io.StringIO(packed.read("answers.csv").decode("utf-8-sig"))) for cell in row]


@given(st.text(max_size=30))
def test_what_was_typed_is_still_there_behind_the_apostrophe(text):
    cell = plain_cell(text)
    assert cell in (text, "'" + text) and not cell.lstrip().startswith(("=", "+", "-", "@", "\t", "\r"))
    assert text.replace("\r\n", "\n") in as_csv((text,), ()).replace('""', '"').replace("\r\n", "\n") or "\r" in text


def test_it_is_written_in_pieces_and_not_at_once(rider, case):
    pieces = [piece for piece in archive(case) if piece]
    assert len(pieces) > 5


def test_tuners_are_not_named(rider, case, other_tuner):
    cases.record_event(case=case, who="other_tuner", user=other_tuner.user, what="Letter read.")
    packed = unpacked(rider)
    diary, page = packed.read("diary.csv").decode(), packed.read("index.html").decode()
    assert ",tuner,Letter read." in diary and "other_tuner" not in diary + page


def test_the_diary_is_in_the_riders_language(rider, case, other_tuner):
    cases.record_event(case=case, who="tuner", user=other_tuner.user, what="Handed over to other_tuner.",
                       detail={"to": "other_tuner", "note": {"believe": "oil"}})
    rider.client.cookies[settings.LANGUAGE_COOKIE_NAME] = "de"
    packed = unpacked(rider)
    diary, page = packed.read("diary.csv").decode(), packed.read("index.html").decode()
    for said in (diary, page):
        assert "Abgegeben." in said and "Handed in." not in said and "other_tuner" not in said
    assert "oil" in diary


def test_what_the_engine_makes_of_it_stays_out_until_a_tuner_has_approved_the_letter(rider, case):
    assert "Most likely too much oil." in unpacked(rider).read("diary.csv").decode()
    Letter.objects.filter(round__case=case).update(approved_at=None, content_hash="")
    diary = unpacked(rider).read("diary.csv").decode()
    assert "Assessed." in diary and "Most likely" not in diary


def test_nobody_else_gets_it(rider, case, other_rider, stranger):
    for who in (other_rider, stranger):
        assert who.client.get(reverse("take-along", args=[case.number])).status_code == 404
