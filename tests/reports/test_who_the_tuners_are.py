"""Whoever leads the tuners sees who they are, lets one more in, and switches a sign-in off."""
from __future__ import annotations

import pytest
from django.contrib.auth.models import Group, Permission, User
from django.urls import reverse
from django.utils import timezone

from intake import services as cases
from intake.tokens import new_token
from reports.desk_people import everybody
from reports.models import SecondFactor
from reports.services import tuners
from reports.services.tuners import make_lead

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def quick_passwords(settings):
    """Hashing is slow on purpose; here it is not what is tested."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def lead(tuner):
    make_lead(user=tuner.user)
    return tuner


def words(answer) -> str:
    return " ".join(answer.content.decode().split())


def test_the_lead_sees_who_leads_who_has_a_second_factor_and_who_holds_what(lead, other_tuner):
    SecondFactor.objects.create(user=other_tuner.user, salt=new_token(), confirmed_at=timezone.now())
    cases.take_case(case=cases.start_case(title="Dives a lot"), user=other_tuner.user)
    assert [(one.user.username, one.leads, one.second_factor, one.holds) for one in everybody()] == [
        ("other_tuner", False, True, 1), ("tuner", True, False, 0)]
    assert lead.client.get(reverse("desk-people")).status_code == 200


def test_a_second_factor_without_its_first_code_is_off(lead):
    SecondFactor.objects.create(user=lead.user, next_salt=new_token())
    assert not everybody()[0].second_factor


def test_a_new_tuners_password_is_shown_once_and_opens_the_desk(lead, client):
    page = lead.client.post(reverse("desk-people"), {"username": " anna "})
    password = page.context["password"]
    assert password in words(page) and password not in words(lead.client.get(reverse("desk-people")))
    client.post(reverse("sign-in"), {"username": "anna", "password": password})
    assert client.get(reverse("queue")).status_code == 200
    assert client.get(reverse("desk-people")).status_code == 403


def test_a_name_that_is_taken_is_refused_and_stays_in_the_field(lead, other_tuner):
    page = lead.client.post(reverse("desk-people"), {"username": "Other_tuner"})
    assert page.status_code == 409 and 'value="Other_tuner"' in words(page) and User.objects.count() == 2


def test_whoever_is_switched_off_is_out_at_once_and_stays_on_the_list(lead, other_tuner):
    assert other_tuner.client.get(reverse("queue")).status_code == 200
    page = lead.client.post(reverse("desk-people-end"), {"username": "other_tuner"}, follow=True)
    assert "other_tuner cannot sign in any more." in words(page) and "switched off" in words(page)
    assert other_tuner.client.get(reverse("queue")).status_code == 302


def test_nobody_switches_off_the_own_sign_in(lead):
    assert lead.client.post(reverse("desk-people-end"), {"username": "tuner"}).status_code == 409
    assert User.objects.get(username="tuner").is_active


def test_who_does_not_lead_sees_no_way_there(lead, other_tuner):
    there = reverse("desk-people")
    for page in map(reverse, ("desk-shops", "second-factor")):
        assert there in words(lead.client.get(page)) and there not in words(other_tuner.client.get(page))
    assert other_tuner.client.get(there).status_code == 403


def test_the_list_asks_as_often_for_many_tuners_as_for_one(tuner, django_assert_num_queries):
    users = User.objects
    for number in range(5):
        users.create_user(f"one {number}", is_staff=True)
    with django_assert_num_queries(4):
        assert len(everybody()) == 6


def test_the_list_says_who_leads_as_the_door_does(tuner):
    users = User.objects
    users.create_user("chief", is_staff=True, is_superuser=True)
    users.create_user("former chief", is_staff=True, is_superuser=True, is_active=False)
    group = Group.objects.create(name="leads")
    group.permissions.add(Permission.objects.get(codename="lead_tuner"))
    users.create_user("by group", is_staff=True).groups.add(group)
    shown = {one.user.username: one.leads for one in everybody()}
    assert shown == {user.username: tuners.leads(user=user) for user in users.all()}
    assert [shown[name] for name in ("chief", "former chief", "by group")] == [True, False, True]
