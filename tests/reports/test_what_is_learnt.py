"""The learning page: every number with its n, percentages from ten cases on, filters, and files without a person."""
from __future__ import annotations

import csv
import io
import json
from datetime import timedelta

import pytest
from django.urls import reverse

from reports import learnt
from reports.models import Outcome
from reports.outcome_export import safe
from tests.letter_cases import tuner, use_fake_engine
from tests.reports.closed_cases import closed

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


@pytest.fixture
def desk(client):
    client.force_login(tuner(), backend="reports.sign_in_backend.SignInBackend")
    return client


def copies(row: Outcome, n: int, **changes: object) -> None:
    """Add outcomes of cases of their own, like ``row``."""
    from intake.models import Case
    for _ in range(n):
        one = Outcome.objects.get(pk=row.pk)
        one.pk, one.case = None, Case.objects.create(state="closed")
        for name, value in changes.items():
            setattr(one, name, value)
        one.save()


def test_nothing_closed_yet_is_said_plainly(desk):
    page = desk.get(reverse("learning"))
    assert page.status_code == 200 and "n = 0" in page.content.decode() and "%" not in "".join(
        band["right"] for band in page.context["bands"])
    assert b"<svg" in desk.get(reverse("reliability-figure")).content


def test_percentages_come_from_ten_cases_on(desk):
    row = closed()
    assert dict(desk.get(reverse("learning")).context["solved"]) == {"by the rider, with our letter": "1 of 1"}
    copies(row, 9)
    assert "10 of 10, 100" in desk.get(reverse("learning")).context["bands"][4]["right"]


def test_bands_say_what_was_told_and_how_often_it_was_so():
    row = closed()  # told 91 %
    copies(row, 3, lead_right=False)
    band = learnt.bands(Outcome.objects.filter(stands=True))[4]
    assert (band.n, band.right, band.said) == (4, 1, pytest.approx(0.91)) and band.share == 0.25


def test_an_outcome_that_was_only_told_judges_no_prediction():
    closed(proof="told")
    assert sum(band.n for band in learnt.bands(Outcome.objects.all())) == 0
    assert learnt.scores(Outcome.objects.all())["n"] == 0


def test_half_and_nine_in_ten_of_the_first_answers():
    row = closed()
    Outcome.objects.update(first_answer=timedelta(hours=1))
    for hours in range(2, 11):
        copies(row, 1, first_answer=timedelta(hours=hours))
    found = learnt.waiting(Outcome.objects.all())
    assert found == {"n": 10, "median": timedelta(hours=5), "most": timedelta(hours=9)}


def test_who_was_right_where_a_tuner_judged_otherwise():
    row = closed()
    copies(row, 2, judged="coil bind", judged_right=True, lead_right=False)
    copies(row, 1, judged="coil bind", judged_right=False)
    assert learnt.overrides(Outcome.objects.all()) == {"n": 4, "others": 3, "proven": 3, "tuner": 2, "engine": 1}


def test_filters_narrow_and_odd_ones_are_refused(desk, shop):
    closed(shop=shop.shop)
    closed()
    Outcome.objects.filter(shop=None).update(fork_kind="air")
    counts = [desk.get(reverse("learning"), asked).context["n"] for asked in (
        {}, {"shop": str(shop.shop.pk)}, {"fork": "air"}, {"period": "30"}, {"period": "30", "fork": "air"})]
    assert counts == [2, 1, 1, 2, 1]
    assert desk.get(reverse("learning"), {"fork": "wooden"}).status_code == 422
    assert desk.get(reverse("outcomes-csv"), {"period": "x"}).status_code == 422


def test_the_page_asks_the_database_as_often_for_many_cases_as_for_few(desk, django_assert_max_num_queries):
    row = closed()
    copies(row, 60)
    with django_assert_max_num_queries(30):
        desk.get(reverse("learning"))


@pytest.mark.parametrize("words", ["=1+1", "+1", "-1", "@x", "\tx", "\rx"])
def test_no_cell_is_run_as_a_formula_and_numbers_stay_numbers(words):
    assert safe(words) == f"'{words}" and safe(-1.5) == -1.5 and safe("fine") == "fine" and safe(None) is None


def test_the_table_and_the_json_hold_the_same_and_nothing_of_a_person(desk):
    row = closed(words="Rider Schmidt did it", lesson="Ask Schmidt", measured={"oil_ml": -20.0})
    Outcome.objects.update(complaint="=evil()")
    table = b"".join(desk.get(reverse("outcomes-csv")).streaming_content).decode()
    told = json.loads(b"".join(desk.get(reverse("outcomes-json")).streaming_content))
    found = list(csv.DictReader(io.StringIO(table)))
    assert len(found) == len(told) == 1 and found[0]["cause"] == told[0]["cause"] == "over-filled"
    assert found[0]["measured_oil_ml"] == "-20.0" and found[0]["complaint"] == "'=evil()"
    assert told[0]["odds"]["over-filled"] == 0.91 and told[0]["base_rates"] == 0
    for secret in (row.case.number, "Schmidt", row.case.rider_email, row.who):
        assert secret not in table + json.dumps(told)
