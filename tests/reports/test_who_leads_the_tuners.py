"""The first tuner leads; a command makes tuners, gives the lead, and helps where a phone is lost."""
from __future__ import annotations

from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command

from deploy.doors import TUNER, tuner_password
from intake.tokens import new_token
from reports.models import SecondFactor
from reports.services.tuners import leads

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def quick_passwords(settings):
    """Hashing is slow on purpose; here it is not what is tested."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def command(*words) -> str:
    said = StringIO()
    call_command("tuner", *words, stdout=said)
    return said.getvalue().strip()


def named(name) -> User:
    return User.objects.get(username=name)


def test_the_first_tuner_leads_and_the_next_does_not():
    assert len(tuner_password()) == 16 and leads(user=named(TUNER))
    password = command("anna")
    assert named("anna").check_password(password) and not leads(user=named("anna"))


def test_where_nobody_leads_who_was_there_first_does():
    first, second = (User.objects.create_user(name, is_staff=True) for name in ("anna", "bert"))
    assert tuner_password() is None
    assert leads(user=named(first.username)) and not leads(user=named(second.username))


def test_the_lead_is_given_the_second_factor_taken_away_and_the_sign_in_ended():
    command("anna")
    command("bert")
    command("bert", "--lead")
    SecondFactor.objects.create(user=named("bert"), salt=new_token())
    assert leads(user=named("bert"))
    command("bert", "--reset-second-factor")
    command("bert", "--end")
    assert not SecondFactor.objects.exists() and not named("bert").is_active


@pytest.mark.parametrize("words", [("anna",), ("nobody", "--end"), (" ",)])
def test_what_cannot_be_done_is_said(words):
    User.objects.create_user("anna", is_staff=True)
    with pytest.raises(CommandError):
        command(*words)
