"""What a tuner signs in with besides the password."""
from __future__ import annotations

from django.conf import settings
from django.db import models


class SecondFactor(models.Model):
    """A tuner's second factor.  No secret is stored: the installation's own key makes it from a salt."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="second_factor")
    salt = models.CharField(max_length=43, blank=True)
    """Of the secret that counts; blank until a first code has shown that the phone holds it."""
    next_salt = models.CharField(max_length=43, blank=True)
    """Of a secret that waits for its first code."""
    confirmed_at = models.DateTimeField(null=True, blank=True)
    last_step = models.BigIntegerField(default=0)
    """The step of the last code that was taken: neither it nor an older one is taken again."""
    misses = models.PositiveSmallIntegerField(default=0)
    missed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        permissions = [("lead_tuner", "Leads the tuners: makes base rates count, looks after who signs in")]


class RecoveryCode(models.Model):
    """A code for the day that the phone is lost.  Only its hash is stored; it opens the door once."""

    factor = models.ForeignKey(SecondFactor, models.CASCADE, related_name="recovery_codes")
    code_hash = models.CharField(max_length=64)
    used_at = models.DateTimeField(null=True, blank=True)
