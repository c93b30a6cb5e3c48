"""What a case costs: quoted, agreed, settled or waived; and never before or beside a stop."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake.errors import Refused
from intake.models import Case, Event
from reports import services
from reports.models import Fee
from tests.letter_cases import handed_in, tuner, use_fake_engine
from tests.reports.queue_shown import seen_by

pytestmark = pytest.mark.django_db


def worked_out(monkeypatch, **findings) -> Case:
    use_fake_engine(monkeypatch, **findings)
    order = handed_in()
    services.draft_round(order_id=order.pk, worker="worker-1")
    return Case.objects.get(pk=order.round.case_id)


def quote(case: Case, amount: str = "85,50", covers: str = "This case and two rounds") -> Fee:
    return services.quote_fee(case=case, amount=amount, currency="eur", covers=covers, user=tuner())


def test_a_quote_is_agreed_and_settled_and_each_step_is_in_the_diary(monkeypatch):
    case = worked_out(monkeypatch)
    assert quote(case) == quote(case)
    for state in ("agreed", "agreed", "settled"):
        services.move_fee(case=case, state=state, user=tuner())
    fee = services.shown_fee(case=case)
    assert (str(fee.amount), fee.currency, fee.state) == ("85.50", "EUR", "settled")
    said = Event.objects.filter(case=case, what__startswith="Fee").order_by("id").values_list("what", flat=True)
    assert list(said) == ["Fee quoted.", "Fee agreed.", "Fee settled."]


def test_waiving_needs_its_reason(monkeypatch):
    case = worked_out(monkeypatch)
    quote(case)
    with pytest.raises(Refused):
        services.move_fee(case=case, state="waived", user=tuner())
    assert services.move_fee(case=case, state="waived", reason="First look.", user=tuner()).reason == "First look."


@pytest.mark.parametrize("amount", ["", "0", "-5", "free", "1e3", "85.555", "NaN", "85 EUR"])
def test_what_is_no_amount_is_refused(monkeypatch, amount):
    with pytest.raises(Refused):
        quote(worked_out(monkeypatch), amount=amount)


def test_a_case_that_stops_a_ride_is_told_for_free(monkeypatch):
    case = worked_out(monkeypatch, stop_riding=True)
    with pytest.raises(Refused, match="for free"):
        quote(case)


def test_a_case_that_may_yet_be_a_stop_shows_no_fee(monkeypatch):
    with pytest.raises(Refused, match="not worked out"):
        quote(handed_in().round.case)
    case = worked_out(monkeypatch)
    quote(case)
    Case.objects.filter(pk=case.pk).update(stop=True)
    case.refresh_from_db()
    assert services.shown_fee(case=case) is None


def test_the_desk_quotes_and_keeps_what_was_typed_where_it_is_refused(monkeypatch, client):
    case = worked_out(monkeypatch)
    client.force_login(tuner())
    page = client.post(reverse("fee-quote", args=[case.number]), {
        "amount": "a lot", "currency": "EUR", "covers": "All"})
    assert page.status_code == 409 and 'value="a lot"' in page.content.decode()
    client.post(reverse("fee-quote", args=[case.number]), {"amount": "85", "currency": "EUR", "covers": "All"})
    assert "85.00 EUR, quoted" in client.get(reverse("desk-case", args=[case.number])).content.decode()


def test_the_queue_says_where_the_fee_stands_but_not_beside_a_stop(monkeypatch, client):
    case = worked_out(monkeypatch)
    quote(case)
    client.force_login(tuner())
    assert [row.fee for row in seen_by(tuner())] == ["fee quoted"]
    Case.objects.filter(pk=case.pk).update(stop=True)
    assert [row.fee for row in seen_by(tuner())] == [""]


def test_the_rider_sees_it_on_the_case_page(monkeypatch, rider):
    fee = Fee(case=rider.case, state="quoted", amount="85.50", currency="EUR", covers="This case")
    fee.save()
    words = rider.client.get(reverse("case-page", args=[rider.case.number])).content.decode()
    assert "85.50" in words and "EUR" in words
    Case.objects.filter(pk=rider.case.pk).update(stop=True)
    assert "85.50" not in rider.client.get(reverse("case-page", args=[rider.case.number])).content.decode()


def test_the_shop_sees_it_too(counter):
    case = Case.objects.create(shop=counter.shop, shop_job="7", state=Case.State.COLLECTING)
    case.rounds.create(number=1)
    Fee.objects.create(case=case, state="agreed", amount="85.50", currency="EUR", covers="This case")
    assert "85.50 EUR, agreed" in counter.client.get(reverse("shop-case", args=[case.number])).content.decode()
