"""What it really was, held against what we had said; and the versions of the base rates that follow from it."""
from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from intake.models import Case, Shop


class BaseRates(models.Model):
    """One version of how common each cause is.  Rows are only added; the newest that is not taken back counts."""

    number = models.PositiveIntegerField(unique=True)
    rates = models.JSONField()
    """By the cause's name, for ``analysis.analyse``."""
    counted = models.JSONField(default=dict)
    """How often each cause was confirmed among the cases that the version rests on."""
    cases = models.PositiveIntegerField(default=0)
    """How many confirmed cases it rests on."""
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    who = models.CharField(max_length=150)
    created_at = models.DateTimeField(auto_now_add=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["id"]


class Outcome(models.Model):
    """What a case really was, how we know, and what we had said: one row each time somebody says so.

    A row is never changed but for ``stands``: a correction is a row of its own that takes its place.
    """

    class Solved(models.TextChoices):
        REMOTE = "remote", "by the rider, with our letter"
        WORKSHOP = "workshop", "by a workshop"
        NOTHING_WRONG = "nothing wrong", "nothing was wrong"
        NEVER_HEARD = "never heard", "never heard"

    case = models.ForeignKey(Case, models.CASCADE, related_name="outcomes")
    stands = models.BooleanField(default=True)
    replaces = models.OneToOneField("self", models.CASCADE, null=True, blank=True, related_name="replaced_by")
    cause = models.CharField(max_length=40)
    """What it was above all: a cause's name, 'something else' or 'never heard'."""
    causes = models.JSONField(default=list)
    """All of its causes, that one first."""
    proof = models.CharField(max_length=40, blank=True)
    grade = models.PositiveSmallIntegerField(null=True)
    """Grade of the proof, 1 the best; null where nothing was heard."""
    solved = models.CharField(max_length=20, choices=Solved.choices)
    done = models.TextField(blank=True)
    lesson = models.CharField(max_length=300, blank=True)
    harm = models.BooleanField(default=False)
    """Somebody was hurt, or nearly."""
    predicted = models.JSONField(default=dict)
    measured = models.JSONField(default=dict)
    """Numbers by the names in ``reports.outcome_numbers``: what the draft said, and what was measured."""
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    who = models.CharField(max_length=150)
    created_at = models.DateTimeField(auto_now_add=True)

    draft = models.ForeignKey("reports.Draft", models.SET_NULL, null=True, related_name="+")
    """What the rider was told first: the draft of the first approved letter, or the newest where none was."""
    odds = models.JSONField(default=list)
    """Its causes with their odds, likeliest first: [[name, probability], …]."""
    verdict = models.CharField(max_length=30, blank=True)
    lead = models.CharField(max_length=40, blank=True)
    lead_odds = models.FloatField(null=True)
    lead_right = models.BooleanField(null=True)
    """Whether the leading cause was (among) what it was; null where that cannot be known."""
    brier = models.FloatField(null=True)
    """Sum over all causes of (odds − 1 or 0)²: 0 is perfect, 2 the worst."""
    brier_base = models.FloatField(null=True)
    """The same for the base rates alone."""
    judged = models.CharField(max_length=40, blank=True)
    """The cause that a tuner had put in the engine's place."""
    judged_right = models.BooleanField(null=True)

    shop = models.ForeignKey(Shop, models.SET_NULL, null=True, related_name="+")
    fork_kind = models.CharField(max_length=20, blank=True)
    complaint = models.CharField(max_length=40, blank=True)
    """The first symptom that was named."""
    rounds = models.PositiveSmallIntegerField(default=1)
    first_answer = models.DurationField(null=True)
    """From the first hand-in to our first letter or question."""
    closed_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["case"], condition=Q(stands=True), name="one_outcome_stands")]
        indexes = [models.Index(fields=["stands", "closed_at"], name="outcomes_of_a_time"),
                   models.Index(fields=["stands", "grade"], name="outcomes_by_grade")]


class WorthOfTest(models.Model):
    """What one test had told of the right cause in a case, and how long it takes."""

    outcome = models.ForeignKey(Outcome, models.CASCADE, related_name="tests")
    test = models.CharField(max_length=40)
    bits = models.FloatField()
    """By how much its answers moved the log odds of what it was; below 0 where they misled."""
    minutes = models.FloatField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["outcome", "test"], name="one_worth_per_test")]
