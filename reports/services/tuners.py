"""Who sits at the desk, and who leads: made with a password that is shown once, switched off, given the lead."""
from __future__ import annotations

import contextlib
from collections.abc import Sequence

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser, Permission
from django.db import IntegrityError, transaction
from django.utils import timezone

from intake.errors import Refused
from intake.shown_once import AGAIN
from intake.tokens import new_token, secret_from
from reports.services.base_rates import LEAD

LOOK_ALIKES = str.maketrans("", "", "Il1O0-_")
LONGEST_NAME = 150


def new_tuner(*, username: str, lead: bool = False, salt: str = "") -> str:
    """Make a sign-in for a tuner and return its password; it cannot be seen again.  The first tuner leads.

    With the same ``salt`` it is the same password.

    Raises ``Refused`` for an empty name and for one that is taken.
    """
    name = "".join(username.replace("\x00", "").split())[:LONGEST_NAME]
    if not name:
        raise Refused("The sign-in has no name.", "Write the name that the tuner will type.")
    password = secret_from(salt or new_token()).translate(LOOK_ALIKES)[:16]
    with contextlib.suppress(IntegrityError):  # the other half of a doubled click was quicker: now it is seen
        return _made(name, password, lead)
    return _made(name, password, lead)


def _made(name: str, password: str, lead: bool) -> str:
    users = get_user_model().objects
    with transaction.atomic():
        taken = users.filter(username__iexact=name).first()
        if taken is not None:
            if taken.date_joined > timezone.now() - AGAIN and taken.is_staff and taken.check_password(password):
                return password
            raise Refused(f"There is a sign-in '{name}' already.", "Pick another name.")
        first = not users.filter(is_staff=True, is_active=True).exists()
        made = users.create_user(name, password=password, is_staff=True)
        if lead or first:
            make_lead(user=made)
    return password


def tuner_named(*, username: str) -> AbstractUser:
    """Return the tuner of this name.  Raises ``Refused`` where there is none."""
    found = get_user_model().objects.filter(is_staff=True, username=username.replace("\x00", "").strip()).first()
    if found is None:
        raise Refused(f"There is no tuner '{username.strip()[:LONGEST_NAME]}'.", "Look at how the name is written.")
    return found


def make_lead(*, user: AbstractUser) -> None:
    """Let a tuner lead: make base rates count, look after who signs in."""
    room, name = LEAD.split(".")
    user.user_permissions.add(Permission.objects.get(content_type__app_label=room, codename=name))


def leads(*, user: AbstractUser) -> bool:
    """Tell whether a tuner was given the lead."""
    return user.has_perm(LEAD)


def leading(*, users: Sequence[AbstractUser]) -> set[int]:
    """Return which of ``users`` were given the lead, as ``leads`` would say of each; one query."""
    lead = get_user_model().objects.with_perm(LEAD, backend="reports.sign_in_backend.SignInBackend")
    return set(lead.filter(pk__in=[user.pk for user in users]).values_list("pk", flat=True))


def switch_off(*, user: AbstractUser, by: AbstractUser | None = None) -> None:
    """End a tuner's sign-in; open sessions end with it.  Raises ``Refused`` for one's own."""
    if by is not None and by.pk == user.pk:
        raise Refused("This is your own sign-in.", "Ask another lead tuner to switch it off.")
    get_user_model().objects.filter(pk=user.pk).update(is_active=False)
