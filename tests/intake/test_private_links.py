"""The private link: shown once, stored hashed, never spent by looking, ended by time or by word."""
from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.http import Http404
from django.utils import timezone

from intake import services
from intake.errors import Refused
from intake.links import LIFETIME, MOST_MAILS
from intake.models import Case, PrivateLink

pytestmark = pytest.mark.django_db


@pytest.fixture
def case() -> Case:
    return services.start_case(rider_email="rider@riders.example")


@pytest.fixture
def session(client: Any) -> Any:
    return client.session


def test_only_a_hash_is_stored(case):
    token = services.new_link(case=case)
    assert len(token) >= 40
    assert token not in str(list(PrivateLink.objects.values()))
    assert token not in str(list(case.events.values()))


def test_looking_spends_nothing_and_entering_can_be_done_from_two_phones(case, session):
    token = services.new_link(case=case)
    assert [services.case_for_token(token=token) for _ in range(3)] == [case] * 3
    services.enter(token=token, session=session)
    assert services.enter(token=token, session=session) == case
    assert services.case_for(number=case.number, session=session) == case


def test_entering_a_case_that_is_open_here_already_keeps_the_key_so_a_doubled_click_loses_nothing(case, session):
    services.enter(token=services.new_link(case=case), session=session)
    before = session.session_key
    services.enter(token=services.new_link(case=case), session=session)
    assert session.session_key == before


def test_entering_changes_the_sessions_key(case, session):
    session.save()
    before = session.session_key
    services.enter(token=services.new_link(case=case), session=session)
    assert session.session_key != before


@pytest.mark.parametrize("token", ["", "nonsense", "x" * 5000, "half \ud83d", "nul\x00"])
def test_a_token_that_never_was_opens_nothing(case, session, token):
    assert services.case_for_token(token=token) is None
    with pytest.raises(Refused, match="fresh link"):
        services.enter(token=token, session=session)


def test_an_expired_link_opens_nothing_and_use_before_that_renews_it(case, session):
    token = services.new_link(case=case)
    start = timezone.now()
    with time_machine.travel(start + LIFETIME - timedelta(hours=1)):
        services.enter(token=token, session=session)
    with time_machine.travel(start + LIFETIME + timedelta(days=1)):
        assert services.case_for_token(token=token) == case
    with time_machine.travel(start + 2 * LIFETIME):
        assert services.case_for_token(token=token) is None
        with pytest.raises(Http404):
            services.case_for(number=case.number, session=session)


def test_revoking_ends_the_link_and_the_sessions_that_came_by_it(case, session):
    token = services.new_link(case=case)
    services.enter(token=token, session=session)
    assert services.revoke_links(case=case) == 1
    assert services.case_for_token(token=token) is None
    with pytest.raises(Http404):
        services.case_for(number=case.number, session=session)


def test_a_renewed_link_takes_the_place_of_the_old_one(case):
    old = services.new_link(case=case)
    new = services.renew_link(case=case)
    assert services.case_for_token(token=old) is None
    assert services.case_for_token(token=new) == case


def test_the_link_is_mailed_after_the_commit_with_an_address_that_works(
        case, settings, django_capture_on_commit_callbacks):
    settings.SITE_URL = "https://tuning.example"
    with django_capture_on_commit_callbacks(execute=True):
        services.mail_link(case=case, asked="which oil?")
        assert mail.outbox == []
    (message,) = mail.outbox
    assert message.to == ["rider@riders.example"] and "which oil?" in message.body
    (address,) = [line for line in message.body.splitlines() if line.startswith("https://tuning.example/")]
    token = max(address.split("/"), key=len)
    assert services.case_for_token(token=token) == case


def test_a_relay_that_is_away_is_noted_and_harms_nothing(case, monkeypatch, django_capture_on_commit_callbacks):
    def away(self: Any, **kwargs: Any) -> None:
        raise ConnectionRefusedError("nobody there")

    monkeypatch.setattr("django.core.mail.EmailMessage.send", away)
    with django_capture_on_commit_callbacks(execute=True):
        services.mail_link(case=case)
    assert "nobody there" in case.events.get(what="The private link could not be mailed.").detail["reason"]


@pytest.mark.parametrize("number, email, mails", [
    ("{number}", "RIDER@riders.example", 1), ("{number}", "someone@else.example", 0), ("{number}", "", 0),
    ("FB-NOSUCH", "rider@riders.example", 0), ("FB-\x00", "rider\x00@riders.example", 0)])
def test_a_fresh_link_goes_only_where_number_and_address_belong_together(
        case, number, email, mails, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        services.ask_for_link(number=number.format(number=case.number.lower()), email=email)
    assert len(mail.outbox) == mails


@pytest.mark.parametrize("email", ["rider", "rider@", "a@b.example\nBcc: all@b.example", "two@a.example, b@c.example"])
def test_an_address_that_cannot_be_one_is_refused_at_the_start(email):
    with pytest.raises(Refused, match="name@example.org"):
        services.start_case(rider_email=email)


def test_nobody_can_fill_a_letter_box_by_asking_over_and_over(case, mailoutbox, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        for _ in range(MOST_MAILS + 5):
            services.ask_for_link(number=case.number, email=case.rider_email)
        for _ in range(5):
            services.mail_asked_link(case=services.start_case(rider_email="RIDER@riders.example"))
        services.ask_for_link(number=services.start_case(rider_email="other@riders.example").number,
                              email="other@riders.example")
    assert [message.to[0] for message in mailoutbox] == [case.rider_email] * MOST_MAILS + ["other@riders.example"]
