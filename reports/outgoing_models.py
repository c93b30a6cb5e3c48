"""What everything on its way to somebody else keeps of itself: a letter's mail, a reminder, a message to a web-hook."""
from __future__ import annotations

from django.db import models


class Outgoing(models.Model):
    """One thing on its way, claimed by one worker at a time; its ``state`` is its own."""

    not_before = models.DateTimeField(null=True, blank=True)
    """While queued: nothing leaves before; then it can still be taken back, or the far side said "later"."""
    claimed_by = models.CharField(max_length=80, blank=True)
    claimed_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    reason = models.TextField(blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True
