"""What a tuner decides: numbers of their own, another leading cause; and what cases are compared by."""
from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from intake.models import Case, Round


class ChosenNumbers(models.Model):
    """Numbers that a tuner put in place of the advised ones, for one revision of one round.  Rows are only added."""

    round = models.ForeignKey(Round, models.CASCADE, related_name="chosen_numbers")
    revision = models.PositiveIntegerField()
    """The revision of the answers that they were chosen on; a later one leaves them behind."""
    numbers = models.JSONField()
    """``analysis.chosen.read_chosen``'s; what is missing stays as the engine advises."""
    reason = models.TextField(blank=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    who = models.CharField(max_length=150)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]


class Judgement(models.Model):
    """A tuner's own leading cause in place of the engine's, with the reason and the odds at that time."""

    round = models.ForeignKey(Round, models.CASCADE, related_name="judgements")
    revision = models.PositiveIntegerField()
    cause = models.CharField(max_length=40)
    reason = models.TextField()
    odds = models.JSONField()
    """The engine's verdict and odds when this was judged: {"kind", "cause", "causes": [[name, probability], …]}."""
    engine_version = models.CharField(max_length=20)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    who = models.CharField(max_length=150)
    created_at = models.DateTimeField(auto_now_add=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    """When it was taken back, or another took its place.  It stays on file: who was right is worth knowing."""
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["round"], condition=Q(taken_back_at__isnull=True),
                                               name="one_judgement_stands")]


class CaseFigures(models.Model):
    """What a case is compared with others by, written with each draft; shares of the stroke unless said otherwise."""

    case = models.OneToOneField(Case, models.CASCADE, primary_key=True, related_name="figures")
    bike_kind = models.CharField(max_length=20, blank=True)
    fork_kind = models.CharField(max_length=20, blank=True)
    spare = models.FloatField(null=True)
    """Air left at full stroke in the fuller leg, V_c / (A_s S); negative where it locks before."""
    sag = models.FloatField(null=True)
    """Measured rider sag."""
    friction_n = models.FloatField(null=True)
    lead = models.CharField(max_length=40, blank=True)
    lead_odds = models.FloatField(null=True)

    class Meta:
        indexes = [
            models.Index(fields=["spare", "-case"], name="cases_by_spare_air"),
            models.Index(fields=["sag", "-case"], name="cases_by_sag"),
            models.Index(fields=["bike_kind", "fork_kind", "-case"], name="cases_of_a_kind"),
        ]
