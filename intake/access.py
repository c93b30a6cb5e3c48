"""Whose case is it?  Access is part of fetching: what is not yours does not exist."""
from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.contrib.sessions.backends.base import SessionBase
from django.db.models import QuerySet
from django.http import Http404

from intake.links import SESSION_KEY, good_links
from intake.models import Case, Shop


def case_for(
    *, number: str, session: SessionBase | None = None, user: AbstractBaseUser | AnonymousUser | None = None,
    shop: Shop | None = None,
) -> Case:
    """Return the case by its number for exactly one of: a rider's session, a signed-in tuner, a shop.

    Raises ``Http404`` where it does not exist or is not theirs; the two cannot be told apart.
    """
    if sum(door is not None for door in (session, user, shop)) != 1:
        raise TypeError("Name exactly one of session, user and shop.")
    number = _written(number)
    case = _cases(number, session, user, shop).select_related("shop").filter(number=number).first()
    if case is None:
        raise Http404("There is no such case.")
    return case


def entered_case(*, number: str, session: SessionBase) -> QuerySet[Case]:
    """Return the case of this number where a rider's session has entered it, to be asked for with what hangs on it."""
    number = _written(number)
    return _cases(number, session, None, None).filter(number=number)


def cases_in(*, session: SessionBase) -> QuerySet[Case]:
    """Return the cases that a rider's session has entered, newest first."""
    entered = session.get(SESSION_KEY, {})
    return Case.objects.filter(links__in=good_links().filter(pk__in=entered.values())).distinct().order_by("-id")


def _written(number: str) -> str:
    return number.strip().upper().replace("\x00", "")  # PostgreSQL does not even compare with it


def _cases(
    number: str, session: SessionBase | None, user: AbstractBaseUser | AnonymousUser | None, shop: Shop | None,
) -> QuerySet[Case]:
    if session is not None:
        link = session.get(SESSION_KEY, {}).get(number, 0)
        return Case.objects.filter(links__in=good_links().filter(pk=link))
    if shop is not None:
        return Case.objects.filter(shop=shop)
    is_tuner = user is not None and user.is_active and getattr(user, "is_staff", False)
    return Case.objects.all() if is_tuner else Case.objects.none()
