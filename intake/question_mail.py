"""A tuner's question on its way to the rider's letter-box: mailed as soon as it is asked, and again until it is out.

What is still to be mailed stands in ``Case.asked`` under ``mail``: how often it was tried, when the next try is due,
and a key that tells one try from the next.  A process that dies between asking and mailing leaves it there, and the
sweep goes on.  Then a question may come twice, which does no harm.
"""
from __future__ import annotations

import time
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from django.db import transaction
from django.utils import timezone

from intake.lanes import Lane, rank_of
from intake.links import mail_link
from intake.models import Case
from intake.states import hold
from intake.tokens import new_token

MOST_TRIES = 6
FIRST_REST = timedelta(minutes=2)
"""After a try; longer than a relay that hangs is waited for.  Doubles each time: about two hours in all."""
LOOK_BACK = timedelta(days=3)
"""A question that is older was asked again, or its rider told another way."""
AT_ONCE = 20.0
"""Seconds that one sweep mails for: a relay that hangs must not hold the sweep up."""


def to_be_mailed(case: Case) -> dict[str, Any]:
    """Return what ``Case.asked`` says of a mail that is due at once; nothing where the rider has no address."""
    return {"mail": {"tries": 0, "due": timezone.now().isoformat()}} if case.rider_email else {}


@transaction.atomic
def mail_question(*, case: Case) -> None:
    """Mail the question that a case waits for an answer to, where that is due; two at once mail it once."""
    hold(case)
    waits = case.asked.get("mail") if case.state == Case.State.NEEDS_ANSWER else None
    if not waits or not case.rider_email or not _is_due(waits):
        return
    key, tries = new_token(), waits["tries"] + 1
    due = timezone.now() + FIRST_REST * 2 ** waits["tries"]
    _write(case, {"mail": {"tries": tries, "due": due.isoformat(), "key": key}})
    mail_link(case=case, asked=case.question, once_out=partial(_is_out, case.pk, key))


def mail_lost_questions() -> None:
    """Mail the questions again whose mail did not go out.  For the sweep."""
    since = rank_of(Lane.RIDER, timezone.now() - LOOK_BACK)  # what an index finds, however many cases wait
    waiting = Case.objects.filter(state=Case.State.NEEDS_ANSWER, rank__gte=since, asked__has_key="mail")
    due = [case for case in waiting.exclude(rider_email="").order_by("rank") if _is_due(case.asked["mail"])]
    end = time.monotonic() + AT_ONCE
    for case in due:
        if time.monotonic() < end:
            mail_question(case=case)


def _is_due(waits: dict[str, Any]) -> bool:
    return waits["tries"] < MOST_TRIES and datetime.fromisoformat(waits["due"]) <= timezone.now()


@transaction.atomic
def _is_out(case_id: int, key: str) -> None:
    """Take the mail off the list, unless another question has taken its place."""
    case = Case.objects.filter(pk=case_id).first()
    if case is None:
        return
    hold(case)
    if case.asked.get("mail", {}).get("key") == key:
        _write(case, {})


def _write(case: Case, mail: dict[str, Any]) -> None:
    asked = {name: value for name, value in case.asked.items() if name != "mail"} | mail
    Case.objects.filter(pk=case.pk).update(asked=asked)
    case.refresh_from_db()
