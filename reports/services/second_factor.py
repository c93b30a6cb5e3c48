"""A tuner's second factor: set up with a first code, asked for after the password, renewed, taken away."""
from __future__ import annotations

import base64
from datetime import timedelta
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.db.models import Case, F, Q, Value, When
from django.utils import timezone

from intake.errors import Refused
from intake.shown_once import AGAIN
from intake.tokens import hash_token, new_token, secret_from
from reports.models import RecoveryCode, SecondFactor
from reports.totp import step_of

ALPHABET = "abcdefghjkmnpqrstuvwxyz23456789"
RECOVERY_CODES = 10
MOST_MISSES = 8
LOCKED_FOR = timedelta(minutes=15)
"""The bounds of passwords, but counted for the person alone: who knows the password may come from anywhere."""
WRONG = ("This code does not fit.", "Type the newest code that the phone shows; each is taken once. "
         "Where it never fits, set the phone's clock to the network's time.")


def secret_of(salt: str) -> bytes:
    """Return the 160 bits that belong to a salt (RFC 4226, section 4, recommends that many)."""
    return base64.urlsafe_b64decode(secret_from(salt) + "=")[:20]


def factor_of(*, user: AbstractBaseUser) -> SecondFactor | None:
    """Return the user's second factor that counts; None where there is none, or its first code is still missing."""
    return SecondFactor.objects.filter(user=user, confirmed_at__isnull=False).first()


def begin_factor(*, user: AbstractBaseUser, code: str = "") -> SecondFactor:
    """Make a fresh secret that waits for its first code; the one that counts goes on counting until then.

    Raises ``Refused`` where one counts already and ``code`` is none of its codes.
    """
    if factor_of(user=user):
        pass_factor(user=user, code=code)
    return SecondFactor.objects.update_or_create(user=user, defaults={"next_salt": new_token()})[0]


def confirm_factor(*, user: AbstractBaseUser, code: str, salt: str = "") -> list[str]:
    """Let the waiting secret count, and return ten recovery codes.  This is the only time that they can be seen.

    With the same ``salt`` they are the same, also for a doubled click, whose first half let the secret count.
    Raises ``Refused`` for a code that is not the waiting secret's.
    """
    now = timezone.now()
    waiting = SecondFactor.objects.filter(user=user).exclude(next_salt="").first()
    made = _recovery_codes(salt or new_token())
    if waiting is None:
        if _were_just_made(user, made):
            return made
        raise Refused("No new key waits for its first code.", "Begin with the button on this page.")
    step = step_of(_typed(code), secret_of(waiting.next_salt), now.timestamp())
    if step is None:
        raise Refused(*WRONG)
    with transaction.atomic():
        if not SecondFactor.objects.filter(pk=waiting.pk, next_salt=waiting.next_salt).update(
                salt=waiting.next_salt, next_salt="", confirmed_at=now, last_step=step, misses=0):
            if _were_just_made(user, made):
                return made
            raise Refused(*WRONG)
        waiting.recovery_codes.all().delete()
        RecoveryCode.objects.bulk_create(RecoveryCode(factor=waiting, code_hash=hash_token(one)) for one in made)
    return made


def _recovery_codes(salt: str) -> list[str]:
    """Return the codes that belong to a salt, each of 79 bits."""
    return [_spelled(int.from_bytes(secret_of(f"{salt} {number}"), "big")) for number in range(RECOVERY_CODES)]


def _spelled(number: int) -> str:
    signs = [ALPHABET[number // len(ALPHABET) ** place % len(ALPHABET)] for place in range(16)]
    return "-".join("".join(signs[start:start + 4]) for start in range(0, 16, 4))


def _were_just_made(user: AbstractBaseUser, codes: list[str]) -> bool:
    return RecoveryCode.objects.filter(
        factor__user=user, factor__confirmed_at__gt=timezone.now() - AGAIN, code_hash=hash_token(codes[0])).exists()


def pass_factor(*, user: AbstractBaseUser, code: str) -> SecondFactor:
    """Take a code of the user's, or a recovery code, for the only time; return the factor.

    Every try is counted before it is looked at, so that many at once are no way round the limit.  Raises ``Refused``
    for a wrong or used code, and for any code after too many wrong ones.
    """
    now, factor = timezone.now(), factor_of(user=user)
    if factor is None:
        raise Refused("There is no second factor here.", "Set one up first.")
    if not _counted(factor, now):
        raise Refused("Too many wrong codes.", "Wait a quarter of an hour, then type the newest one.")
    if not (_code_taken(factor, code, now) or _recovery_code_taken(factor, code, now)):
        raise Refused(*WRONG)
    SecondFactor.objects.filter(pk=factor.pk).update(misses=0)
    return factor


def _counted(factor: SecondFactor, now: Any) -> bool:
    rested = Q(missed_at__lt=now - LOCKED_FOR) | Q(missed_at__isnull=True)
    return bool(SecondFactor.objects.filter(rested | Q(misses__lt=MOST_MISSES), pk=factor.pk).update(
        misses=Case(When(rested, then=Value(1)), default=F("misses") + 1), missed_at=now))


def _code_taken(factor: SecondFactor, code: str, now: Any) -> bool:
    step = step_of(_typed(code), secret_of(factor.salt), now.timestamp())
    return step is not None and bool(
        SecondFactor.objects.filter(pk=factor.pk, last_step__lt=step).update(last_step=step))


def _recovery_code_taken(factor: SecondFactor, code: str, now: Any) -> bool:
    unused = factor.recovery_codes.filter(code_hash=hash_token(_typed(code).lower()), used_at__isnull=True)
    return bool(unused.update(used_at=now))


def codes_left(*, factor: SecondFactor) -> int:
    """Return how many recovery codes have not been used."""
    return factor.recovery_codes.filter(used_at__isnull=True).count()


def forget_factor(*, user: AbstractBaseUser) -> None:
    """Take the user's second factor away, as where phone and recovery codes are lost."""
    SecondFactor.objects.filter(user=user).delete()


def _typed(code: str) -> str:
    return "".join(code.split())[:40]
