"""The tuner's shelf: data sheets in versions, in any unit, read from a table and saved as one."""
from __future__ import annotations

import csv
from io import BytesIO, StringIO

import pytest
from django.urls import reverse

from intake.errors import Refused
from reports import services
from reports.models import DataSheet, SheetVersion
from reports.services import shelf
from reports.services.shelf import SheetRefused
from reports.shelf_table import read_table

pytestmark = pytest.mark.django_db
GOOD = {"name": "Tourer, first series", "note": "bench notes", "travel_mm": "130", "bore_diameter_mm": "1.57 in"}


def post(tuner, **changes):
    return tuner.client.post(reverse("shelf-new", args=["fork"]), GOOD | changes)


def test_a_sheet_is_written_found_and_each_edit_is_a_new_version(tuner):
    post(tuner)
    sheet = DataSheet.objects.get()
    page = reverse("shelf-sheet", args=[sheet.pk])
    tuner.client.post(page, GOOD | {"travel_mm": "132", "based_on": "1"})
    assert [one.values["travel_mm"] for one in sheet.versions.all()] == ["130", "132"]
    old = tuner.client.get(reverse("shelf-version", args=[sheet.pk, 1])).content.decode()
    assert "130 → <strong>132</strong>" in old and "1.57 in" in old
    assert "Tourer, first" in tuner.client.get(reverse("shelf"), {"q": "first tour"}).content.decode()
    assert "Tourer, first" not in tuner.client.get(reverse("shelf"), {"q": "enduro"}).content.decode()


def test_a_bad_value_is_said_where_it_stands_and_nothing_typed_is_lost(tuner):
    page = post(tuner, travel_mm="130 kg", bore_diameter_mm="900", springing="steam")
    words = page.content.decode()
    assert page.status_code == 409 and not DataSheet.objects.exists()
    assert 'value="130 kg"' in words and 'id="x-travel_mm"' in words and 'id="x-bore_diameter_mm"' in words
    assert words.count("fault-words") == 3  # a leg's fault is said once


def test_two_tuners_do_not_overwrite_each_other(tuner):
    post(tuner)
    page = reverse("shelf-sheet", args=[DataSheet.objects.get().pk])
    tuner.client.post(page, GOOD | {"travel_mm": "132", "based_on": "1"})
    late = tuner.client.post(page, GOOD | {"travel_mm": "140", "based_on": "1"})
    assert late.status_code == 409 and 'value="140"' in late.content.decode()
    assert SheetVersion.objects.count() == 2


def test_a_doubled_click_on_a_new_sheet_keeps_one_and_shows_it(tuner, monkeypatch):
    kept = [post(tuner)["Location"], post(tuner)["Location"]]
    real, blind = shelf._kept_before, [True]
    monkeypatch.setattr(shelf, "_check_name", lambda *args: None)  # both looked before either had written
    monkeypatch.setattr(shelf, "_kept_before", lambda *args: None if blind and blind.pop() else real(*args))
    kept.append(post(tuner)["Location"])
    assert len(set(kept)) == 1 and (DataSheet.objects.count(), SheetVersion.objects.count()) == (1, 1)
    monkeypatch.undo()
    assert post(tuner, travel_mm="150").status_code == 409  # the name, and other values


def test_a_retired_sheet_leaves_its_name_and_can_come_back(tuner):
    post(tuner)
    sheet = DataSheet.objects.get()
    tuner.client.post(reverse("shelf-retire", args=[sheet.pk]))
    assert not tuner.client.get(reverse("shelf")).context["sheets"]
    post(tuner)
    back = tuner.client.post(reverse("shelf-retire", args=[sheet.pk]), {"back": "1"})
    assert back.status_code == 409 and DataSheet.objects.filter(retired_at__isnull=True).count() == 1


@pytest.mark.parametrize("text", [
    "kind,name,travel_mm\nfork,One,\"130,5\"\n", "kind;name;travel_mm\nfork;One;130,5\n",
    "kind\tname\ttravel_mm\nfork\tOne\t130,5 mm\n", "kind;name;travel_mm\r\nfork;One;13,05 cm\r\n"])
def test_a_table_is_read_whatever_cuts_its_cells(text):
    for raw in (text, text.encode(), b"\xef\xbb\xbf" + text.encode()):
        table = read_table(raw)
        assert not table.bad and [row.name for row in table.good] == ["One"]


def test_every_bad_row_is_reported_and_good_ones_are_taken_only_once_confirmed(tuner):
    text = ("kind,name,travel_mm,stroke_mm,colour\nfork,One,130,,\nfork,Two,5 kg,,\nshock,Three,,60,red\n"
            "wheel,Four,1,,\nfork,One,131,,\n")
    page = tuner.client.post(reverse("shelf-import"), {"table": BytesIO(text.encode())})
    bad = {(one.line, one.column) for one in page.context["table"].bad}
    assert bad == {(1, "colour"), (3, "travel_mm"), (5, "kind"), (6, "name")}
    assert all(one.problem and one.mend for one in page.context["table"].bad) and not DataSheet.objects.exists()
    tuner.client.post(reverse("shelf-import"), {"text": page.context["text"], "take": "1"})
    assert sorted(DataSheet.objects.values_list("name", flat=True)) == ["One", "Three"]
    twice = tuner.client.post(reverse("shelf-import"), {"text": text})
    assert not twice.context["table"].taken


def test_the_saved_table_runs_no_formula_and_is_read_back_as_it_was(tuner):
    services.keep_sheet(user=tuner.user, kind="fork", name="=1+1", note="@x", typed={"travel_mm": "130 mm"})
    saved = b"".join(tuner.client.get(reverse("shelf-csv")).streaming_content).decode()
    row = list(csv.DictReader(StringIO(saved)))[0]
    assert row["name"] == "'=1+1" and row["note"] == "'@x"
    assert [one.does for one in read_table(saved).good] == ["as it is already"]


def test_steps_of_springs_are_read_number_by_number(tuner):
    with pytest.raises(SheetRefused) as caught:
        services.keep_sheet(user=tuner.user, kind="fork", name="S", note="",
                            typed={"spring_rates_n_per_mm": "8.5 9 900"})
    assert [fault.name for fault in caught.value.faults] == ["spring_rates_n_per_mm"]
    with pytest.raises(Refused):
        services.keep_sheet(user=tuner.user, kind="fork", name="Empty", note="", typed={})
