"""Two tuners at one queue: who has a case, for how long, and what is said when it changes hands."""
from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from django.contrib.auth import get_user_model
from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from intake.errors import Refused
from intake.events import record_event
from intake.lanes import TO_DO
from intake.models import Case, Event
from intake.paths import storable
from intake.queue import free
from intake.states import ENDED, hold

STAY = timedelta(minutes=30)
"""So long after the holder's last act a case is the holder's alone.  Common practice, no source."""
TAKEN, GIVEN_BACK, HANDED_OVER = "Taken.", "Given back.", "Handed over to {name}."
NOTE_LINES: dict[str, str] = {
    "believe": "What I believe, and why",
    "doubt": "What I doubt",
    "promised": "What I promised, and by when",
    "do_not": "Do not do",
    "rider": "How the rider is",
}
"""What whoever takes over has to know: the name that is stored, the words on screens."""
LONGEST_LINE = 300
TRIES = 10


class Held(Refused):
    """Somebody else holds the case at this moment."""

    def __init__(self, case: Case, holder: AbstractBaseUser) -> None:
        super().__init__(
            f"{holder.get_username()} holds {case.number} at this moment.",
            "Ask them, or take it over; that leaves a line in what happened.")
        self.holder = holder


def holder_of(case: Case, now: datetime | None = None) -> AbstractBaseUser | None:
    """Return who holds the case at this moment; None where nobody does, or the hold has run out."""
    now = now or timezone.now()
    return case.holder if case.holder_id and case.held_until and case.held_until >= now else None


def colleagues(*, user: AbstractBaseUser) -> QuerySet[AbstractBaseUser]:
    """Return the other tuners."""
    return get_user_model().objects.filter(is_active=True, is_staff=True).exclude(pk=user.pk).order_by("username")


def take_case(*, case: Case, user: AbstractBaseUser, over: bool = False) -> bool:
    """Take the case for half an hour, or stay on it; say whether it was not this tuner's before.

    With ``over`` it is taken even where somebody else holds it, and the event says from whom.  Raises ``Held`` where
    somebody does, and ``Refused`` where the case has ended.
    """
    with transaction.atomic():
        hold(case)
        _refuse_ended(case)
        other = _other(case, user)
        if other is not None and not over:
            raise Held(case, other)
        was_mine = holder_of(case) is not None and other is None
        _write(case, user)
        if not was_mine:
            _record(case, user, f"Taken over from {other.get_username()}." if other else TAKEN)
    return not was_mine


def stay(*, number: str, user: AbstractBaseUser) -> None:
    """Count looking at a case as something its holder does; nobody else's looking changes anything."""
    now = timezone.now()
    mine = Case.objects.filter(number=number.strip().upper(), holder=user, held_until__gte=now,
                               held_until__lt=now + STAY - timedelta(minutes=1))
    if mine.exists():  # asked first, so that looking at a case does not wait for who is writing
        mine.update(held_until=now + STAY)


def take_next(*, user: AbstractBaseUser) -> Case | None:
    """Take the first case that is drafted and that nobody holds, in the queue's order; None where there is none."""
    # A plain "not being drafted", not a list of states: that would make a database sort all of them.
    rows = Case.objects.filter(free(timezone.now()), rank__lt=TO_DO).exclude(state=Case.State.HANDED_IN)
    for case in rows.order_by("rank", "id")[:TRIES]:
        try:
            take_case(case=case, user=user)
        except Refused:  # a colleague was quicker
            continue
        return case
    return None


def give_back(*, case: Case, user: AbstractBaseUser) -> None:
    """Let go of the case.  Raises ``Refused`` where this tuner has not got it."""
    with transaction.atomic():
        hold(case)
        if case.holder_id != user.pk:
            other = holder_of(case)
            raise Held(case, other) if other else Refused(
                f"You do not have {case.number}.", "There is nothing to give back.")
        _write(case, None)
        _record(case, user, GIVEN_BACK)


def hand_over(*, case: Case, to: AbstractBaseUser, note: Mapping[str, str], user: AbstractBaseUser) -> None:
    """Hand the case to a colleague with a note of five short lines, which stays in what happened.

    Raises ``Refused`` for a line that is missing or too long, for a colleague who is none, where somebody else holds
    the case, and where it has ended.
    """
    lines = checked_note(note)
    if not colleagues(user=user).filter(pk=to.pk).exists():
        raise Refused(f"{to.get_username()} is no colleague to hand it to.", "Pick another tuner.")
    with transaction.atomic():
        refuse_held(case=case, user=user)
        _refuse_ended(case)
        _write(case, to)
        _record(case, user, HANDED_OVER.format(name=to.get_username()), {"to": to.get_username(), "note": lines})


def checked_note(note: Mapping[str, str]) -> dict[str, str]:
    """Return the note's five lines as they are kept, or raise ``Refused``."""
    lines = {name: " ".join(storable(str(note.get(name) or "")).split()) for name in NOTE_LINES}
    for name, title in NOTE_LINES.items():
        if not lines[name]:
            raise Refused(f"The line '{title}' is empty.", "Write a few words, or 'nothing'.")
        if len(lines[name]) > LONGEST_LINE:
            raise Refused(f"The line '{title}' has {len(lines[name])} signs.", f"Shorten it to {LONGEST_LINE}.")
    return lines


def newest_note(*, case: Case) -> Event | None:
    """Return the last handing over of the case, with its note in ``detail``; None where there was none."""
    return Event.objects.filter(case=case, what__startswith=HANDED_OVER.partition("{")[0]).order_by("-id").first()


def refuse_held(*, case: Case, user: AbstractBaseUser) -> None:
    """Hold the case's row and raise ``Held`` where another tuner has the case."""
    hold(case)
    if other := _other(case, user):
        raise Held(case, other)


def _other(case: Case, user: AbstractBaseUser) -> AbstractBaseUser | None:
    holder = holder_of(case)
    return holder if holder is not None and holder.pk != user.pk else None


def _refuse_ended(case: Case) -> None:
    if case.state in ENDED:
        raise Refused(f"{case.number} is {case.get_state_display()}.", "It can only be read.")


def _write(case: Case, user: AbstractBaseUser | None) -> None:
    Case.objects.filter(pk=case.pk).update(holder=user, held_until=timezone.now() + STAY if user else None)
    case.refresh_from_db()


def _record(case: Case, user: AbstractBaseUser, what: str, detail: Mapping[str, object] | None = None) -> None:
    record_event(case=case, who=user.get_username(), user=user, what=what, detail=dict(detail or {}))
