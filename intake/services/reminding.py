"""What the rider says about reminders, and when a case has gone quiet."""
from __future__ import annotations

from zoneinfo import available_timezones

from django.contrib.auth.base_user import AbstractBaseUser
from django.core import signing
from django.db import transaction
from django.utils import timezone

from intake.events import RIDER, WORKER, record_event
from intake.models import Case

SALT = "no more reminders"


def set_reminders(*, case: Case, wanted: bool, user: AbstractBaseUser | None = None) -> bool:
    """Stop the reminders of a case, or start them again, on the rider's word or a tuner's (``user``).

    Say whether anything changed: a second time changes nothing.
    """
    with transaction.atomic():
        changed = Case.objects.filter(pk=case.pk, no_reminders=wanted).update(no_reminders=not wanted) == 1
        if changed:
            record_event(case=case, who=user.get_username() if user else RIDER, user=user,
                         what="Reminders wanted again." if wanted else "No more reminders.")
    case.refresh_from_db()
    return changed


def save_time_zone(*, case: Case, zone: str) -> None:
    """Keep where the rider's clock stands, as the browser says; what is no time zone is left aside."""
    if zone in available_timezones() and zone != case.rider_time_zone:
        Case.objects.filter(pk=case.pk).update(rider_time_zone=zone)


def reminder_key(*, case: Case) -> str:
    """Return what stands in a reminder's own link: it stops this case's reminders and opens nothing."""
    return signing.dumps(case.number, salt=SALT)


def case_of_reminder_key(*, key: str) -> Case | None:
    """Return the case whose reminders a key stops; None where it was not made here, or the case is gone."""
    try:
        return Case.objects.filter(number=signing.loads(key, salt=SALT)).first()
    except signing.BadSignature:
        return None


def go_quiet(*, case: Case) -> bool:
    """Note that nothing came for so long that nobody waits any more; the state stays, and any answer ends it."""
    with transaction.atomic():
        if not Case.objects.filter(pk=case.pk, quiet_since__isnull=True).update(quiet_since=timezone.now()):
            return False
        record_event(case=case, who=WORKER, what="Gone quiet.")
    return True
