"""A shop's web-hooks, and what was sent to them."""
from __future__ import annotations

from django.db import models

from reports.outgoing_models import Outgoing


class WebHook(models.Model):
    """An address of a shop's own that is told what happens to its cases."""

    shop = models.ForeignKey("intake.Shop", models.CASCADE, related_name="hooks")
    address = models.CharField(max_length=300)
    events = models.JSONField(default=list)
    salt = models.CharField(max_length=43)
    """Its secret is made from this and the installation's own key (``intake.tokens.secret_from``)."""
    created_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.address


class HookSending(Outgoing):
    """One thing that happened, on its way to one web-hook.  May arrive twice; its token tells that it did."""

    class State(models.TextChoices):
        QUEUED = "queued", "queued"
        SENDING = "sending", "sending"
        SENT = "sent", "sent"
        FAILED = "failed", "failed"
        GIVEN_UP = "given up", "given up"

    hook = models.ForeignKey(WebHook, models.CASCADE, related_name="sendings")
    case = models.ForeignKey("intake.Case", models.CASCADE, null=True, related_name="+")
    """Null where the shop only tries whether its address answers."""
    event = models.CharField(max_length=20)
    token = models.CharField(max_length=43, unique=True)
    body = models.TextField()
    """Exactly what is sent, as it was when it happened."""
    state = models.CharField(max_length=10, choices=State.choices, default=State.QUEUED)

    class Meta:
        indexes = [models.Index(fields=["state", "claimed_until"], name="hooks_to_do"),
                   models.Index(fields=["hook", "-id"], name="hook_newest_first")]
