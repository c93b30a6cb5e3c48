"""What belongs to a shop besides its cases: who signs in for it, answers to give again, and tables of jobs."""
from __future__ import annotations

from django.conf import settings
from django.db import models


class ShopUser(models.Model):
    """Somebody who signs in for a shop.  One sign-in belongs to one shop."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="shop_user")
    shop = models.ForeignKey("intake.Shop", models.CASCADE, related_name="users")

    def __str__(self) -> str:
        return f"{self.user} of {self.shop}"


class KeptAnswer(models.Model):
    """The answer to one POST with an Idempotency-Key, so that the same request gets the same answer for a day."""

    shop = models.ForeignKey("intake.Shop", models.CASCADE, related_name="+")
    key = models.CharField(max_length=200)
    request_hash = models.CharField(max_length=64)
    """SHA-256 over method, address and body."""
    salt = models.CharField(max_length=43)
    """A secret that the answer shows is made from this and the installation's own key; it is not stored itself."""
    status = models.PositiveSmallIntegerField(default=0)
    """0 while the first request is still being worked on."""
    content_type = models.CharField(max_length=60, blank=True)
    location = models.CharField(max_length=200, blank=True)
    body = models.TextField(blank=True)
    claimed_until = models.DateTimeField()
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["shop", "key"], name="one_answer_per_key")]
        indexes = [models.Index(fields=["created_at"], name="answers_by_age")]


class JobTable(models.Model):
    """A table of jobs that a shop sent, with what is to be said about every row.  Kept, whatever becomes of it."""

    class State(models.TextChoices):
        CHECKED = "checked", "waits for your word"
        DRY = "dry run", "only checked"
        CONFIRMED = "confirmed", "confirmed"

    shop = models.ForeignKey("intake.Shop", models.CASCADE, related_name="tables")
    name = models.CharField(max_length=120)
    """What its file was called."""
    state = models.CharField(max_length=10, choices=State.choices, default=State.CHECKED)
    who = models.CharField(max_length=80)
    rows = models.JSONField(default=list)
    """One for each job: line, job, state, faults and the case it became; what a good row says,
    until its case holds that."""
    notes = models.JSONField(default=list)
    """What is to be said about the file as a whole, such as a guessed encoding."""
    created_at = models.DateTimeField(auto_now_add=True)
    confirmed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["shop", "-id"], name="tables_newest_first")]
