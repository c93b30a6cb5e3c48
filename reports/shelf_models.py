"""The shelf: book values of forks and shocks, in versions; which version a case draws on; what a case costs."""
from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from intake.models import Case


class DataSheet(models.Model):
    """One kind of fork or shock that a tuner has book values of.  Its values stand in its versions."""

    class Kind(models.TextChoices):
        FORK = "fork", "Fork"
        SHOCK = "shock", "Shock"

    kind = models.CharField(max_length=10, choices=Kind.choices)
    name = models.CharField(max_length=80)
    """The newest version's name."""
    number = models.PositiveIntegerField(default=1)
    """The newest version's number."""
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["name", "id"]
        constraints = [models.UniqueConstraint(fields=["kind", "name"], condition=Q(retired_at__isnull=True),
                                               name="one_sheet_of_a_name")]


class SheetVersion(models.Model):
    """What a data sheet said from one day on.  Rows are only added, so that old cases keep what they were told."""

    sheet = models.ForeignKey(DataSheet, models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    name = models.CharField(max_length=80)
    note = models.CharField(max_length=300, blank=True)
    """Where the values are from."""
    values = models.JSONField(default=dict)
    """As typed, by the names in ``reports.shelf_fields``."""
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    who = models.CharField(max_length=150)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["sheet", "number"], name="one_sheet_version_per_number")]


class SheetLink(models.Model):
    """A case draws on one version of a data sheet.  It stays on file when it is taken off again."""

    case = models.ForeignKey(Case, models.CASCADE, related_name="sheet_links")
    kind = models.CharField(max_length=10, choices=DataSheet.Kind.choices)
    version = models.ForeignKey(SheetVersion, models.PROTECT, related_name="links")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    who = models.CharField(max_length=150)
    created_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["case", "kind"], condition=Q(ended_at__isnull=True),
                                               name="one_sheet_of_a_kind_stands")]


class Fee(models.Model):
    """What a case costs, and where that stands.  Rows are only added; the newest stands.  No payment is handled."""

    class State(models.TextChoices):
        QUOTED = "quoted", "quoted"
        AGREED = "agreed", "agreed"
        SETTLED = "settled", "settled"
        WAIVED = "waived", "waived"

    case = models.ForeignKey(Case, models.CASCADE, related_name="fees")
    state = models.CharField(max_length=10, choices=State.choices)
    amount = models.DecimalField(max_digits=10, decimal_places=2)
    currency = models.CharField(max_length=3)
    covers = models.CharField(max_length=500)
    reason = models.CharField(max_length=500, blank=True)
    """Why it is waived."""
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    who = models.CharField(max_length=150)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
