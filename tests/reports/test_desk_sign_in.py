"""Only tuners sit at the desk."""
from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.urls import reverse

from reports.desk_sign_in import STAY

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def quick_passwords(settings):
    """Hashing is slow on purpose; here it is not what is tested."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


PASSWORD = "steady-hands-7"
CASE_PAGES = ("desk-case", "letter-edit", "letter-versions", "ask", "close-case")
CASE_BUTTONS = ("work-again", "next-round", "letter-approve", "letter-unapprove", "letter-send", "letter-new-draft",
                "letter-keep-words")


def sign_in(client, name, password=PASSWORD, **more):
    return client.post(reverse("sign-in"), {"username": name, "password": password, **more})


def test_a_tuner_signs_in_and_comes_to_the_queue(client):
    User.objects.create_user("tuner", password=PASSWORD, is_staff=True)
    assert sign_in(client, "tuner").url == reverse("queue")
    assert client.get(reverse("queue")).status_code == 200


def test_after_signing_in_the_tuner_is_where_the_link_led(client):
    User.objects.create_user("tuner", password=PASSWORD, is_staff=True)
    wanted = client.get(reverse("queue") + "?state=advised").url
    shown = client.get(wanted)
    assert sign_in(client, "tuner", next=shown.context["next"]).url == reverse("queue") + "?state=advised"


@pytest.mark.parametrize("who", [{"is_staff": False}, {"is_staff": True, "is_active": False}])
def test_who_is_no_active_tuner_is_told_and_stays_outside(client, who):
    User.objects.create_user("somebody", password=PASSWORD, **who)
    shown = sign_in(client, "somebody")
    assert shown.status_code == 200 and "Not signed in" in shown.content.decode()
    assert client.get(reverse("queue")).url.startswith(reverse("sign-in"))


def test_a_session_that_is_no_tuners_opens_nothing(client, rider):
    client.force_login(User.objects.create_user("former"), backend="reports.sign_in_backend.SignInBackend")
    for name in CASE_PAGES:
        assert client.get(reverse(name, args=[rider.case.number])).url.startswith(reverse("sign-in")), name
    for name in CASE_BUTTONS:
        assert client.post(reverse(name, args=[rider.case.number])).url.startswith(reverse("sign-in")), name
    assert client.get(reverse("figure", args=[rider.case.number, 1, 0])).url.startswith(reverse("sign-in"))


def test_buttons_do_nothing_on_a_get(tuner, rider):
    for name in CASE_BUTTONS:
        assert tuner.client.get(reverse(name, args=[rider.case.number])).status_code == 405, name
    assert tuner.client.get(reverse("sign-out")).status_code == 405


def test_signing_out_ends_the_session(tuner):
    assert tuner.client.post(reverse("sign-out")).url == reverse("sign-in")
    assert tuner.client.get(reverse("queue")).status_code == 302


def test_a_guesser_is_locked_out_even_with_the_right_password(client, settings):
    User.objects.create_user("tuner", password=PASSWORD, is_staff=True)
    for _ in range(settings.AXES_FAILURE_LIMIT):
        last = sign_in(client, "tuner", "a guess")
    assert last.status_code == 429
    assert sign_in(client, "tuner").status_code == 429
    assert client.get(reverse("queue")).status_code == 302


def test_what_the_desk_shows_is_kept_by_no_browser(tuner, rider):
    assert "no-store" in tuner.client.get(reverse("desk-case", args=[rider.case.number]))["Cache-Control"]


def test_a_sign_in_ends_sooner_than_a_riders_visit(tuner, rider):
    assert tuner.client.session.get_expiry_age() <= STAY.total_seconds() < rider.client.session.get_expiry_age()


def test_a_sign_in_that_is_switched_off_opens_nothing_from_then_on(tuner):
    assert tuner.client.get(reverse("queue")).status_code == 200
    User.objects.filter(pk=tuner.user.pk).update(is_active=False)
    assert tuner.client.get(reverse("queue")).status_code == 302
