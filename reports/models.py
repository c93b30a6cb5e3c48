"""Drafts, letters and their deliveries."""
from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from intake.models import Round
from reports.hook_models import HookSending, WebHook  # noqa: F401  found from here
from reports.learning_models import BaseRates, Outcome, WorthOfTest  # noqa: F401  found from here
from reports.outgoing_models import Outgoing
from reports.shelf_models import DataSheet, Fee, SheetLink, SheetVersion  # noqa: F401  found from here
from reports.sign_in_models import RecoveryCode, SecondFactor  # noqa: F401  found from here
from reports.tuner_models import CaseFigures, ChosenNumbers, Judgement  # noqa: F401  found from here


class Draft(models.Model):
    """What the engine found for one revision of one round, with figures and a first letter."""

    round = models.ForeignKey(Round, models.CASCADE, related_name="drafts")
    revision = models.PositiveIntegerField()
    engine_version = models.CharField(max_length=20)
    findings = models.JSONField()
    """The findings document (``analysis.Findings.as_document``)."""
    figures = models.JSONField(default=list)
    """A list of {name, title, svg, words: [[label, value], …]} in the order of the report."""
    letter_text = models.TextField()
    """The engine's own wording; the tuner's edits live in letter versions."""
    language = models.CharField(max_length=5, choices=settings.LANGUAGES, default="en")
    """The language of ``letter_text`` and ``figures``: the rider's when it was drafted."""
    english_text = models.TextField(blank=True)
    """The same wording in English, for a tuner who does not read ``language``; blank where that is English."""
    blocks = models.JSONField(default=list, blank=True)
    """``letter_text`` by blocks (``wording.letter_blocks``), each with its ``english`` where a rider reads another."""
    start = models.JSONField(default=dict, blank=True)
    """Where a tuner's sliders start (``analysis.what_if``'s ``numbers``)."""
    making = models.PositiveSmallIntegerField(default=0)
    """How often a tuner had decided something of their own when it was made: 0 is the engine alone."""
    numbers = models.ForeignKey(ChosenNumbers, models.SET_NULL, null=True, blank=True, related_name="+")
    judgement = models.ForeignKey(Judgement, models.SET_NULL, null=True, blank=True, related_name="+")
    """What a tuner had decided when it was made."""
    rates = models.ForeignKey(BaseRates, models.PROTECT, null=True, blank=True, related_name="+")
    """The version of the base rates that it was made with; null: those that the engine starts with."""
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["round", "revision", "engine_version", "making"],
                                    name="one_draft_per_making"),
        ]
        ordering = ["id"]


class Letter(models.Model):
    """A letter of a round: versions, then one approval.  Once it has left, only another letter replaces it."""

    round = models.ForeignKey(Round, models.CASCADE, related_name="letters")
    replaces = models.OneToOneField("self", models.CASCADE, null=True, blank=True, related_name="replaced_by")
    draft = models.ForeignKey(Draft, models.PROTECT, related_name="+")
    """The draft that the words rest on.  Stale where the round has a newer revision."""
    version = models.PositiveIntegerField(default=1)
    """Number of the newest version; an edit must name the version it started from."""
    approved_at = models.DateTimeField(null=True, blank=True)
    approved_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    approved_version = models.PositiveIntegerField(null=True, blank=True)
    content_hash = models.CharField(max_length=64, blank=True)
    """SHA-256 over the approved words and the draft's findings and figures; checked again before each sending."""
    pdf = models.BinaryField(null=True, blank=True)
    """The PDF as approved."""

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(approved_at__isnull=True, content_hash="")
                | Q(approved_at__isnull=False, approved_version__isnull=False),
                name="approval_is_whole",
            ),
            models.UniqueConstraint(fields=["round"], condition=Q(replaces__isnull=True), name="one_first_letter"),
        ]
        ordering = ["-id"]


class LetterVersion(models.Model):
    """One state of a letter's words.  Rows are only ever added."""

    letter = models.ForeignKey(Letter, models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    text = models.TextField()
    blocks = models.JSONField(default=list, blank=True)
    """The same words by blocks (``reports.letter_words``); empty for a version from before there were blocks."""
    author = models.CharField(max_length=80)
    """'worker' or a tuner's user name."""
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["letter", "number"], name="one_text_per_version")]
        ordering = ["number"]


class Sending(models.TextChoices):
    """How far a mail is on its way, a letter's or a reminder's."""

    QUEUED = "queued", "queued"
    SENDING = "sending", "sending"
    SENT = "sent", "sent"
    FAILED = "failed", "failed"
    UNKNOWN = "unknown", "unknown"
    TAKEN_BACK = "taken back", "taken back"


class Delivery(Outgoing):
    """One e-mail of one approved letter to one address.

    No e-mail can be sent exactly once.  A delivery whose worker vanished while it was sending is ``unknown``, and a
    person decides; the Message-ID never changes, so that a second sending can be told from a second letter.
    """

    State = Sending

    letter = models.ForeignKey(Letter, models.CASCADE, related_name="deliveries")
    to = models.EmailField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.QUEUED)
    message_id = models.CharField(max_length=120, unique=True)
    content_hash = models.CharField(max_length=64)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["letter", "to"], name="one_delivery_per_address")]
        indexes = [models.Index(fields=["state", "claimed_until"], name="mail_to_do")]


class Reminder(Outgoing):
    """One e-mail that says that something waits for the rider: each step at most once a round, whatever crashes."""

    class Step(models.TextChoices):
        GENTLE = "gentle", "a first reminder"
        ONE_ASK = "one ask", "the one thing that helps most"
        LAST = "last", "the last reminder"
        HOW_IT_GOES = "how it goes", "how did it go?"
        HOW_IT_WENT = "how it went", "how did it go, for the last time?"

    State = Sending

    round = models.ForeignKey(Round, models.CASCADE, related_name="reminders")
    step = models.CharField(max_length=20, choices=Step.choices)
    state = models.CharField(max_length=10, choices=State.choices, default=State.QUEUED)
    message_id = models.CharField(max_length=120, unique=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["round", "step"], name="one_reminder_per_step")]
        indexes = [models.Index(fields=["state", "claimed_until"], name="reminders_to_do")]


class TravelLog(models.Model):
    """A data logger's recording that a tuner added to a round, what each column is, and what it says."""

    round = models.ForeignKey(Round, models.CASCADE, related_name="travel_logs")
    name = models.CharField(max_length=120)
    """What its file was called."""
    packed = models.BinaryField()
    """The recording as it came, compressed, so that it can be read again."""
    mapping = models.JSONField(default=dict)
    """What was typed of its columns; empty until somebody has."""
    summary = models.JSONField(null=True)
    """What it says (``analysis.travel_part.travel_log_part``, with its ``phrases``); null until it was read."""
    draft = models.ForeignKey(Draft, models.SET_NULL, null=True, related_name="+")
    """The draft whose predicted stops it was held against."""
    added_by = models.CharField(max_length=80)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]


class SavedView(models.Model):
    """A tuner's own name for a set of the queue's filters."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="saved_views")
    name = models.CharField(max_length=40)
    query = models.JSONField(default=dict)
    """The filters as the queue's address says them (``intake.wanted``)."""

    class Meta:
        constraints = [models.UniqueConstraint(fields=["owner", "name"], name="one_view_per_name")]
        ordering = ["name", "id"]


class OwnWords(models.Model):
    """A tuner's own words under a name, with slots that each letter fills from its findings (``reports.own_words``)."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="own_words")
    name = models.CharField(max_length=40)
    text = models.TextField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["owner", "name"], name="own_words_by_name")]
        ordering = ["name", "id"]
