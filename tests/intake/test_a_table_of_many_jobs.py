"""A table of jobs is checked cell by cell and kept; cases come on the shop's word, and a repeat doubles none."""
from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from intake import services
from intake.errors import Refused
from intake.job_table import MOST_ROWS, read_table
from intake.models import Case, JobTable
from tests.intake.test_the_shops_door import problem

pytestmark = pytest.mark.django_db
GOOD = """job,rider_name,complaint.words,bike.mass_kg,fork.left.oil_level_mm,fork.left.oil_level_mm.known,service.done
W-1,Blue helmet,"Stops dead, hard",210,5.5 in,measured,oil + seals
W-2,Müller,Dives,"231,5",unknown,,oil
"""


def table(shop: Any, text: str | bytes = GOOD, **more: Any) -> JobTable:
    data = text.encode() if isinstance(text, str) else text
    return services.check_table(shop=shop.shop, data=data, name="jobs.csv", who="anna", **more)


def states(found: JobTable) -> list[tuple[int, str, str]]:
    return [(row["line"], row["job"], row["state"]) for row in found.rows]


def test_good_rows_become_cases_only_on_the_shops_word_and_once(shop):
    found = table(shop)
    assert states(found) == [(2, "W-1", "good"), (3, "W-2", "good")] and not Case.objects.exists()
    for _ in range(2):
        found = services.confirm_table(table=found)
    assert [row["state"] for row in found.rows] == ["handed in", "handed in"] and found.confirmed_at
    one, two = Case.objects.order_by("shop_job")
    assert (one.state, one.rider_name, two.rider_name) == ("handed in", "Blue helmet", "Müller")
    document = one.current_round.document
    assert document["fork"]["left"]["oil_level_mm"] == {"value": "5.5 in", "known": "measured"}
    assert document["service"]["done"] == ["oil", "seals"]
    assert document["complaint"]["words"] == "Stops dead, hard"


def test_the_same_table_again_doubles_nothing_and_changed_rows_are_named(shop):
    services.confirm_table(table=table(shop))
    again = table(shop)
    assert [row["state"] for row in again.rows] == ["handed in before"] * 2
    services.confirm_table(table=again)
    changed = table(shop, GOOD.replace("Dives", "Wallows"))
    assert [row["state"] for row in changed.rows] == ["handed in before", "other content"]
    assert Case.objects.get(shop_job="W-2").number in changed.rows[1]["faults"][0]["problem"]
    assert Case.objects.count() == 2 and JobTable.objects.count() == 3


def test_a_stop_half_way_is_gone_on_with(shop, monkeypatch):
    from intake.services import tables

    found, real, done = table(shop), tables.hand_in_job, []

    def power_cut(**named: Any) -> Any:
        if done:
            raise KeyboardInterrupt
        done.append(1)
        return real(**named)

    monkeypatch.setattr(tables, "hand_in_job", power_cut)
    with pytest.raises(KeyboardInterrupt):
        services.confirm_table(table=found)
    monkeypatch.undo()
    assert [row["state"] for row in services.confirm_table(table=found).rows] == ["handed in"] * 2
    assert Case.objects.count() == 2


def test_every_bad_cell_is_named_with_line_column_value_and_what_to_do(shop):
    bad = ("job;complaint.words;bike.mass_kg;service.filled;rider_email\n\n"
           "W-1;Dives;heavy;somehow;no address\n;Dives;210;;\nW-3;;2100;;\n")
    found = table(shop, bad)
    faults = {(f["line"], f["column"]): f for row in found.rows for f in row["faults"]}
    assert set(faults) == {(3, "bike.mass_kg"), (3, "service.filled"), (3, "rider_email"), (4, "job"),
                           (5, "complaint.words"), (5, "bike.mass_kg")}
    assert faults[3, "bike.mass_kg"]["value"] == "heavy"
    assert all(fault["problem"] and fault["mend"] for fault in faults.values())
    services.confirm_table(table=found)
    assert not Case.objects.exists()


def test_good_rows_beside_bad_ones_are_handed_in(shop):
    found = services.confirm_table(table=table(shop, GOOD + "W-3,,Dives,heavy,,,\n"))
    assert [row["state"] for row in found.rows] == ["handed in", "handed in", "faulty"]


def test_a_number_twice_and_a_line_too_long_are_faults(shop):
    found = table(shop, "job,complaint.words\nW-1,Dives\nW-1,Dives\nW-2,Dives,too,many\n")
    assert [row["state"] for row in found.rows] == ["good", "faulty", "faulty"]
    assert "Line 2" in found.rows[1]["faults"][0]["problem"] and found.rows[2]["faults"][0]["value"] == "too"


def test_a_column_that_is_no_question_stops_the_whole_table_and_is_named(shop):
    found = table(shop, "job,complaint.words,bike.mass_lb,colour\nW-1,Dives,400,red\n")
    assert found.state == "dry run" and {f["column"] for f in found.rows[0]["faults"]} == {"bike.mass_lb", "colour"}
    assert "mass_kg" in str(found.rows[0]["faults"])
    with pytest.raises(Refused, match="only checked"):
        services.confirm_table(table=found)


@pytest.mark.parametrize("separator, word", [(",", "commas"), (";", "semicolons"), ("\t", "tabs")])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
def test_separators_and_letters_are_found_out_and_a_guess_is_said(separator, word, encoding):
    head = separator.join(("job", "rider_name", "complaint.words"))
    text = f"{head}\r\nW-1{separator}Müller{separator}\"a {separator} b\"\r\n"
    read = read_table(text.encode(encoding))
    assert read.rows[0].rider_name == "Müller" and not read.rows[0].faults and not read.head_faults
    assert any(word in note for note in read.notes)
    assert any("Latin-1" in note for note in read.notes) == (encoding == "latin-1")


@pytest.mark.parametrize("data, words", [
    (b"", "empty"), (b"\n\n", "empty"), (b"job\n", "no job"), (b"a,b\n1,2\n", "called 'job'"),
    (b'job,complaint.words\nW-1,"open\n', "quotation mark"), (b"\x89PNG\x00\x00", "not a table"),
    (b"job\n" + b"W\n" * (MOST_ROWS + 1), "jobs and"), (b"x" * 1_000_001, "1 MB"),
    (b"job" + b",c" * 500 + b"\nW\n", "")])
def test_what_is_no_table_is_refused_with_what_to_do(data, words):
    with pytest.raises(Refused) as refused:
        read_table(data)
    assert words in refused.value.problem and refused.value.mend


def post(shop: Any, text: str = GOOD, query: str = "", **headers: str) -> Any:
    return shop.client.post(f"/api/tables/{query}", text.encode(), content_type="text/csv", headers=headers)


def test_through_the_api_a_table_is_checked_read_and_confirmed(shop, other_shop):
    made = post(shop, query="?name=May.csv")
    assert made.status_code == 201 and made.json()["counts"]["good"] == 2 and "document" not in str(made.json())
    address = made.json()["address"]
    assert shop.client.get(address).json() == made.json()
    for way in (other_shop.client.get(address), other_shop.client.post(f"{address}confirm/")):
        problem(way, 404)
    done = shop.client.post(f"{address}confirm/").json()
    assert done["state"] == "confirmed" and done["rows"][0]["case"] == Case.objects.get(shop_job="W-1").number
    assert [one["name"] for one in shop.client.get("/api/tables/").json()["results"]] == ["May.csv"]


def test_through_the_api_a_dry_run_is_kept_and_cannot_be_confirmed(shop):
    made = post(shop, query="?dry_run=true").json()
    assert made["state"] == "dry run" and made["counts"]["good"] == 2
    problem(shop.client.post(f"{made['address']}confirm/"), 409)
    problem(post(shop, "nothing"), 422)
    problem(post(shop, query="?dry_run=perhaps"), 400)
    first, again = (post(shop, **{"idempotency-key": "t-1"}) for _ in range(2))
    assert first.content == again.content and JobTable.objects.count() == 2


def test_at_the_counter_the_report_is_read_and_confirmed_with_one_button(counter, other_counter):
    sent = SimpleUploadedFile("jobs.csv", (GOOD + "W-3,,Dives,heavy,,,\n").encode(), "text/csv")
    answer = counter.client.post(reverse("shop-tables"), {"table": sent})
    found = JobTable.objects.get()
    assert answer["Location"] == reverse("shop-table", args=[found.pk])
    shown = counter.client.get(answer["Location"]).content.decode()
    assert "heavy" in shown and "Hand in 2 jobs" in shown
    assert other_counter.client.get(answer["Location"]).status_code == 404
    counter.client.post(reverse("shop-table-confirm", args=[found.pk]))
    assert Case.objects.count() == 2 and "jobs.csv" in counter.client.get(reverse("shop-tables")).content.decode()
    assert counter.client.post(reverse("shop-tables")).status_code == 422
    empty = counter.client.get(reverse("shop-table-empty")).content
    assert not read_table(empty + b"W-1" + b"," * empty.count(b",")).head_faults


def test_a_row_keeps_nothing_of_its_rider_once_its_case_does(shop):
    text = GOOD.replace("W-2,Müller,Dives", "W-2,Müller,")
    found = services.confirm_table(table=table(shop, text))
    again = table(shop, text)
    assert [row["state"] for row in found.rows] == ["handed in", "faulty"] and again.rows[0]["state"] != "good"
    kept = str(list(JobTable.objects.values("rows")))
    assert "Blue helmet" not in kept and "Stops dead" not in kept and "Müller" not in kept
