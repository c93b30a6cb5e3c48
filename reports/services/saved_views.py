"""A tuner's own views of the queue: a name for a set of filters."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from intake.errors import Refused
from intake.paths import storable
from intake.wanted import wanted_from
from reports.models import SavedView

LONGEST_NAME, MOST = 40, 20


def save_view(*, user: AbstractBaseUser, name: str, query: Mapping[str, Any]) -> SavedView:
    """Keep the filters of ``query`` under ``name``; the same name and filters again change nothing.

    Raises ``Refused`` for a bad name or filter, for no filter at all, and for a name that means other filters already.
    """
    name, asked = _checked(name), wanted_from(query).as_query()
    if not asked:
        raise Refused("There is nothing to keep: the whole queue is shown.", "Pick a filter or search first.")
    with transaction.atomic():
        if user.saved_views.count() >= MOST and not user.saved_views.filter(name=name).exists():
            raise Refused(f"You have {MOST} views already.", "Delete one that you do not use.")
        view, made = SavedView.objects.get_or_create(owner=user, name=name, defaults={"query": asked})
    if not made and view.query != asked:
        raise Refused(f"You have a view '{name}' already.", "Pick another name, or delete that one first.")
    return view


def rename_view(*, view: SavedView, name: str) -> SavedView:
    """Give a view another name.  Raises ``Refused`` for a bad name, and for one that another view has."""
    name = _checked(name)
    with transaction.atomic():
        if SavedView.objects.filter(owner=view.owner_id, name=name).exclude(pk=view.pk).exists():
            raise Refused(f"You have a view '{name}' already.", "Pick another name.")
        SavedView.objects.filter(pk=view.pk).update(name=name)
    view.refresh_from_db()
    return view


def delete_view(*, view: SavedView) -> None:
    """Delete a view; the cases stay as they are."""
    SavedView.objects.filter(pk=view.pk).delete()


def _checked(name: str) -> str:
    name = " ".join(storable(name).split())
    if not name or len(name) > LONGEST_NAME:
        raise Refused("The view has no name." if not name else f"The name has {len(name)} signs.",
                      f"Give it a name of 1 to {LONGEST_NAME} signs.")
    return name
