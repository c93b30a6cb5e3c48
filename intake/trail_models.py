"""Who has looked at what, and the seals that show when somebody has tampered with the trail."""
from __future__ import annotations

from django.db import models


class Read(models.Model):
    """A person looked at something of a rider's.  Ids only; like the diary, rows are only added.

    Whoever it was stays on file as a plain number when their sign-in goes: a seal has been put on the row.
    """

    case = models.ForeignKey("intake.Case", models.CASCADE, related_name="reads")
    at = models.DateTimeField(auto_now_add=True)
    user_id = models.BigIntegerField(null=True)
    token_id = models.BigIntegerField(null=True)
    """One of the two: a person who is signed in, or a shop's program."""
    what = models.CharField(max_length=40)
    """The name of the address that was read."""
    which = models.BigIntegerField(default=0)
    """The photo, the travel log or the round, where the address names one."""

    class Meta:
        indexes = [models.Index(fields=["case", "-at"], name="reads_of_a_case")]


class Seal(models.Model):
    """A link of the chain: what the rows of one kind were, from one id to another, tied to the link before it."""

    kind = models.CharField(max_length=10)
    from_id = models.BigIntegerField()
    to_id = models.BigIntegerField()
    digests = models.JSONField()
    """[row's id, its case's id or null, SHA-256 of its content] for each row, so that an erased one can be named."""
    previous = models.CharField(max_length=64, unique=True)
    """The hash of the link before: two sweeps at once cannot both add to it."""
    hash = models.CharField(max_length=64)
    """SHA-256 over ``previous``, kind, ids and digests."""
    sealed_at = models.DateTimeField(auto_now_add=True)
