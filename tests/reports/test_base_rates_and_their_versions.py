"""Base rates from confirmed cases: looked at first, made to count by a tuner, taken back; old cases stay."""
from __future__ import annotations

import pytest
from django.contrib.auth.models import Permission
from django.contrib.contenttypes.models import ContentType
from django.urls import reverse

from analysis.base_rates import starting_rates
from intake.errors import Refused
from reports import services
from reports.models import BaseRates, Draft
from reports.rates_preview import changes
from reports.services import drafting
from reports.services.base_rates import rates_for
from tests.letter_cases import drafted, drafted_letter, handed_in, handed_in_again, tuner, use_fake_engine
from tests.reports.closed_cases import closed

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


@pytest.fixture
def desk(client):
    client.force_login(tuner(), backend="reports.sign_in_backend.SignInBackend")
    return client


def count(desk, cases, current=""):
    return desk.post(reverse("count-rates"), {"cases": cases, "current": current})


def test_only_what_was_seen_or_measured_again_is_counted():
    for proof in ("seen inside", "measured again", "ridden", "told", "disproved"):
        closed(proof=proof)
    assert services.proposed_rates().cases == 2 and services.proposed_rates().counted == {"over-filled": 2}


def test_a_preview_writes_nothing_and_shows_old_and_new(desk):
    closed()
    page = desk.get(reverse("base-rates"))
    row = next(row for row in page.context["rows"] if row["seen"])
    assert float(row["new"]) > float(row["old"]) and not BaseRates.objects.exists()


def test_a_version_counts_once_however_often_it_is_clicked_and_can_be_taken_back(desk):
    closed()
    for _ in range(2):
        assert count(desk, 1).status_code == 302
    version = BaseRates.objects.get()
    assert services.current_rates() == version and version.rates["over-filled"] > starting_rates()["over-filled"]
    desk.post(reverse("take-back-rates", args=[version.pk]))
    assert services.current_rates() is None and BaseRates.objects.count() == 1


def test_what_nobody_has_looked_at_is_not_made_to_count(desk):
    closed()
    closed()
    refused = count(desk, 1)
    assert refused.status_code == 409 and "look at the preview" in refused.content.decode().lower()
    assert count(desk, "²").status_code == 409 and not BaseRates.objects.exists()


def test_where_somebody_leads_the_tuners_nobody_else_makes_rates_count(desk):
    closed()
    kind = ContentType.objects.get_for_model(Draft)
    may = Permission.objects.filter(codename="lead_tuner").first() or Permission.objects.create(
        codename="lead_tuner", content_type=kind, name="leads")
    lead = tuner("lead")
    lead.user_permissions.add(may)
    assert count(desk, 1).status_code == 403 and not BaseRates.objects.exists()
    assert "Whoever leads the tuners" in desk.get(reverse("base-rates")).content.decode()
    version = services.make_rates_count(user=lead, cases=1, current=None)
    assert desk.post(reverse("take-back-rates", args=[version.pk])).status_code == 403
    assert services.current_rates() == version


def test_without_a_confirmed_case_there_is_nothing_to_count():
    with pytest.raises(Refused):
        services.make_rates_count(user=tuner(), cases=0, current=None)


def test_a_draft_says_which_version_it_was_made_with_and_the_old_ones_stay(monkeypatch):
    order = handed_in()
    drafted_letter(order)
    before = Draft.objects.get()
    closed()
    version = services.make_rates_count(user=tuner(), cases=1, current=None)
    assert rates_for(round=order.round) is None  # the same answers keep what they were drafted with
    monkeypatch.setattr(drafting, "compute", lambda round: drafting.Drafted(
        *(getattr(drafted(), name) for name in ("engine_version", "findings", "figures", "letter_text")),
        rates=rates_for(round=round)))
    services.draft_round(order_id=handed_in_again(order).pk, worker="w")
    assert Draft.objects.order_by("id").last().rates == version
    before.refresh_from_db()
    assert before.rates is None


def test_the_drafting_hands_the_version_that_counts_to_the_engine(monkeypatch):
    closed()
    version = services.make_rates_count(user=tuner(), cases=1, current=None)
    monkeypatch.undo()
    told = {}

    def analyse(*given, **named):
        told["rates"] = given[4] if len(given) > 4 else named.get("base_rates")
        raise InterruptedError

    monkeypatch.setattr(drafting, "analyse", analyse)
    with pytest.raises(InterruptedError):
        drafting.compute(handed_in().round)
    assert told["rates"] == version.rates


def test_cases_that_would_lead_otherwise_are_named_and_stay_as_they_are():
    drafted_letter()
    new = starting_rates() | {"coil bind": 0.9, "over-filled": 0.002}
    found = changes(new)
    assert [(one.before, one.after, one.changes) for one in found] == [
        ("Too much oil, too little air", "Coil bind", True)]
    assert changes(starting_rates())[0].changes is False
