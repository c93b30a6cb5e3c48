"""The queue's page keeps what it has drawn, and still shows to each what is theirs and what is true now."""
from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse

from intake.models import Case
from tests.intake.queued import queued
from tests.reports.queue_shown import titles

pytestmark = pytest.mark.django_db


def words(tuner, **query):
    return tuner.client.get(reverse("queue"), query).content.decode()


def test_each_tuner_sees_the_own_name_and_hold(tuner, other_tuner):
    case = queued(title="Dives")
    tuner.client.post(reverse("take-case", args=[case.number]))
    assert "Sign out, tuner<" in words(tuner) and "You have it" in words(tuner)
    assert "Sign out, other_tuner<" in words(other_tuner) and "tuner has it" in words(other_tuner)


def test_what_changes_between_two_looks_shows_at_the_second(tuner):
    assert "Nothing waits." in words(tuner)
    first = queued(title="Dives")
    assert "Nothing waits." not in words(tuner) and ">Dives</a>" in words(tuner)
    Case.objects.filter(pk=first.pk).update(title="Bucks")
    queued(title="Wallows")
    assert titles(tuner.client.get(reverse("queue"))) == ["Bucks", "Wallows"]


def test_a_message_shows_once(tuner):
    queued(title="Drafted", state=Case.State.READY)
    taken = tuner.client.post(reverse("take-next"))
    number = Case.objects.get().number
    assert taken.url == reverse("desk-case", args=[number])
    tuner.client.post(reverse("take-next"))
    assert "Nothing waits for you that nobody holds." in words(tuner)
    assert "Nothing waits for you that nobody holds." not in words(tuner)


def test_every_form_carries_a_token_that_counts_for_whoever_looks(tuner, other_tuner):
    case = queued(title="Dives")
    for one in (tuner, other_tuner):
        strict = Client(enforce_csrf_checks=True)
        strict.force_login(one.user, backend="reports.sign_in_backend.SignInBackend")
        page = strict.get(reverse("queue")).content.decode()
        tokens = set(re.findall(r'name="csrfmiddlewaretoken" value="([^"]+)"', page))
        assert len(tokens) == 1 and page.count("<form method=\"post\"") == page.count("csrfmiddlewaretoken")
        data = {"case": case.number, "action": "no reminders", "csrfmiddlewaretoken": tokens.pop()}
        assert strict.post(reverse("ticked"), data).status_code in (200, 302)
        assert strict.post(reverse("ticked"), data | {"csrfmiddlewaretoken": "x" * 64}).status_code == 403


def test_all_rows_are_ticked_only_where_that_was_asked(tuner):
    queued(title="Dives")
    assert 'form="ticked" checked' in words(tuner, ticked="all") and 'form="ticked" checked' not in words(tuner)
