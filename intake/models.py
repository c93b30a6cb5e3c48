"""The case file: cases, rounds, photos, private links, shops and events."""
from __future__ import annotations

from datetime import timedelta

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from intake.lanes import new_rank
from intake.numbers import new_case_number
from intake.shop_models import JobTable, KeptAnswer, ShopUser  # noqa: F401  a room's models are found from here
from intake.trail_models import Read, Seal  # noqa: F401  found from here


class Shop(models.Model):
    """A workshop that forwards jobs."""

    name = models.CharField(max_length=120, unique=True)
    email = models.EmailField(blank=True)

    def __str__(self) -> str:
        return self.name


class ShopToken(models.Model):
    """A shop's key to the API.  Only its hash is stored; the key itself is shown once."""

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=60)
    token_hash = models.CharField(max_length=64, unique=True)
    scope = models.CharField(max_length=20, choices=[("read", "read"), ("hand in", "hand in")], default="hand in")
    created_at = models.DateTimeField(auto_now_add=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    """To the minute."""
    ends_at = models.DateTimeField(null=True, blank=True)
    """Set once a new token has taken its place: until then both open the door."""
    revoked_at = models.DateTimeField(null=True, blank=True)


class Case(models.Model):
    """One complaint about one bike, from the first tap to the outcome."""

    class Returned(models.TextChoices):
        NOT = "", "nothing came back"
        ANSWER = "answer", "the rider answered"
        ROUND = "next round", "the rider tried it and wrote back"

    class State(models.TextChoices):
        COLLECTING = "collecting", _("collecting answers")
        HANDED_IN = "handed in", _("handed in")
        READY = "ready", _("ready for the tuner")
        NEEDS_ANSWER = "needs an answer", _("needs an answer")
        ADVISED = "advised", _("advised")
        WORKSHOP_ONLY = "workshop only", _("workshop only")
        CLOSED = "closed", _("closed")
        WITHDRAWN = "withdrawn", _("withdrawn")

    number = models.CharField(max_length=12, unique=True, default=new_case_number, editable=False)
    state = models.CharField(max_length=20, choices=State.choices, default=State.COLLECTING)
    state_since = models.DateTimeField(auto_now_add=True)
    created_at = models.DateTimeField(auto_now_add=True)
    rider_name = models.CharField(max_length=120, blank=True)
    rider_email = models.EmailField(blank=True)
    language = models.CharField(max_length=5, choices=settings.LANGUAGES, default="en")
    """The rider's: letters and mails are written in it."""
    rider_time_zone = models.CharField(max_length=64, blank=True)
    """Such as Europe/Vienna, as the rider's own device says; blank where it did not."""
    title = models.CharField(max_length=160, blank=True)
    """What the queue calls it: the bike and the complaint, in the person's own words."""
    shop = models.ForeignKey(Shop, models.PROTECT, null=True, blank=True, related_name="cases")
    shop_job = models.CharField(max_length=40, blank=True)
    shop_content = models.CharField(max_length=64, blank=True)
    """SHA-256 of what the shop handed in, so that a repeated hand-in is known again."""
    question = models.TextField(blank=True)
    """What the tuner asked last, while the case needs an answer."""
    question_path = models.CharField(max_length=80, blank=True)
    """Where in the form the first answer belongs: a section's or bench test's name, or blank."""
    asked = models.JSONField(default=dict, blank=True)
    """What was asked for, step by step, and on which revision: see ``intake.asking``; empty where nothing is."""
    stop = models.BooleanField(default=False)
    """A safety gate tripped in the latest assessment.  Written with ``summary``."""
    summary = models.JSONField(default=dict, blank=True)
    """What one queue row shows of the latest assessment; see ``intake.services.record_assessment``."""
    outcome = models.CharField(max_length=40, blank=True)
    """What it really was: a cause's name from ``analysis.causes``, 'something else' or 'never heard'."""
    outcome_proof = models.CharField(max_length=40, blank=True)
    outcome_words = models.TextField(blank=True)
    no_reminders = models.BooleanField(default=False)
    """The rider asked not to be reminded of anything."""
    quiet_since = models.DateTimeField(null=True, blank=True)
    """When the last reminder had long gone unanswered; blank again as soon as the case moves or an answer is saved."""
    rank = models.BigIntegerField(default=new_rank, editable=False)
    """Where it stands in the queue: see ``intake.lanes``.  Written by ``intake.states`` whenever the case moves."""
    due_at = models.DateTimeField(null=True, blank=True)
    """When our time for it is up; blank while nobody waits for us."""
    turn_since = models.DateTimeField(default=timezone.now)
    """Since when it is the turn of whoever has to act now."""
    with_us = models.DurationField(default=timedelta)
    """What our earlier turns took in this round."""
    with_rider = models.DurationField(default=timedelta)
    """What the rider's earlier turns took in this round."""
    returned = models.CharField(max_length=10, choices=Returned.choices, default=Returned.NOT, blank=True)
    """Whether it is our turn because something that we asked for came back."""
    fork_kind = models.CharField(max_length=20, blank=True)
    """What is inside the fork, as handed in, or 'air'; blank where nobody said."""
    holder = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    """The tuner who took it last.  It is theirs alone only until ``held_until``."""
    held_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["shop", "shop_job"], condition=Q(shop__isnull=False) & ~Q(shop_job=""),
                                    name="one_case_per_shop_job"),
        ]
        indexes = [
            models.Index(fields=["rank", "id"], name="queue_order"),
            models.Index(fields=["state", "rank", "id"], name="queue_of_state"),
            models.Index(fields=["holder", "rank", "id"], name="queue_of_holder"),
            models.Index(fields=["shop", "rank", "id"], name="queue_of_shop"),
            models.Index(fields=["language", "rank", "id"], name="queue_of_language"),
            models.Index(fields=["fork_kind", "rank", "id"], name="queue_of_fork_kind"),
            models.Index(fields=["rank", "id"], name="queue_of_stops", condition=Q(stop=True)),
            models.Index(fields=["returned", "rank", "id"], name="queue_of_what_came_back"),
            models.Index(fields=["shop", "-id"], name="shop_newest_first"),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def current_round(self) -> Round:
        """The newest round.  Every case has one from the start."""
        return self.rounds.order_by("-number")[0]


class CaseWords(models.Model):
    """What a case can be found by, as plain words: see ``intake.search``.

    An index of the database's own kind rests on this table, and on SQLite triggers do too, which a migration that
    alters the table would lose.
    """

    case = models.OneToOneField(Case, models.CASCADE, primary_key=True, related_name="words")
    words = models.TextField(blank=True)


class Round(models.Model):
    """One set of answers; frozen when handed in."""

    class Done(models.TextChoices):
        EXACTLY = "exactly", _("Done exactly as the letter says")
        DIFFERENTLY = "differently", _("Done differently")
        NOT_DONE = "not done", _("Not done")

    case = models.ForeignKey(Case, models.CASCADE, related_name="rounds")
    number = models.PositiveSmallIntegerField()
    document = models.JSONField(default=dict, blank=True)
    """The case document as typed (units and all), even where it is not valid yet: nothing typed is lost."""
    revision = models.PositiveIntegerField(default=0)
    """Grows with each change of the document; a draft made from an older revision is stale."""
    changes = models.TextField(blank=True)
    """What was really changed since the last letter, in the person's words (from the second round on)."""
    done = models.CharField(max_length=20, blank=True, choices=Done.choices)
    """Whether the last letter's advice was followed (from the second round on)."""
    offered = models.JSONField(default=dict, blank=True)
    """Answers of an earlier case that may still be right.  None of them counts until the rider confirms it:
    {"case": number, "date": day, "same_bike": bool, "answers": {path: answer as it was typed}}."""
    handed_in_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["case", "number"], name="one_round_per_number")]

    def __str__(self) -> str:
        return f"{self.case} round {self.number}"


class Erased(models.Model):
    """All that is left of a case that its rider had erased: that there was one, and what it turned out to be."""

    number = models.CharField(max_length=12, unique=True)
    outcome = models.CharField(max_length=40, blank=True)
    case_key = models.BigIntegerField(null=True)
    """What the case's key was: sealed rows that went with it are told apart by it from rows that were taken away."""
    erased_at = models.DateTimeField(auto_now_add=True)


class WorkOrder(models.Model):
    """A handed-in round that waits for its draft.  This row is the record; the broker only rings the bell."""

    class State(models.TextChoices):
        WAITING = "waiting", _("waiting")
        CLAIMED = "claimed", _("claimed")
        DONE = "done", _("done")
        PARKED = "parked", _("parked")

    round = models.OneToOneField(Round, models.CASCADE, related_name="work_order")
    revision = models.PositiveIntegerField()
    """The round's revision that is to be drafted."""
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    claimed_by = models.CharField(max_length=80, blank=True)
    claimed_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    reason = models.TextField(blank=True)
    """Why the last attempt failed."""
    created_at = models.DateTimeField(auto_now_add=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["state", "claimed_until"], name="work_to_do")]


class Photo(models.Model):
    """A picture that belongs to a section or bench test, freshly encoded from its pixels."""

    round = models.ForeignKey(Round, models.CASCADE, related_name="photos")
    place = models.CharField(max_length=40)
    """Name of the section or bench test it belongs to."""
    path = models.CharField(max_length=80, blank=True)
    """The question it belongs to; blank where it is about the whole page."""
    file = models.ImageField(upload_to="photos/%Y/%m/", width_field="width", height_field="height")
    width = models.PositiveIntegerField(default=0)
    height = models.PositiveIntegerField(default=0)
    caption = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)


class PhotoUpload(models.Model):
    """A photo on its way: it comes piece by piece or in one go, and waits until the worker has made it afresh.

    Its bytes lie in a file that nobody is shown, and that goes as soon as the photo is made or refused.
    """

    token = models.CharField(max_length=43, unique=True)
    round = models.ForeignKey(Round, models.CASCADE, related_name="photo_uploads")
    place = models.CharField(max_length=40)
    path = models.CharField(max_length=80, blank=True)
    caption = models.CharField(max_length=200, blank=True)
    size = models.PositiveIntegerField()
    whole_since = models.DateTimeField(null=True, blank=True)
    """When all bytes were here and safe.  From then on the worker owes a photo, or a word why there is none."""
    claimed_by = models.CharField(max_length=43, blank=True)
    claimed_until = models.DateTimeField(null=True, blank=True)
    """Until then one worker is reading the picture; another leaves it alone."""
    attempts = models.PositiveSmallIntegerField(default=0)
    refused_as = models.PositiveSmallIntegerField(null=True, blank=True)
    """Why it cannot be a photo, a key of ``intake.photos.REFUSALS``; kept until its rider has taken it away."""
    photo = models.ForeignKey(Photo, models.CASCADE, null=True, blank=True)
    """What became of it; kept a while, for a phone that did not hear the answer."""
    touched_at = models.DateTimeField(auto_now_add=True)

    @property
    def is_whole(self) -> bool:
        """Whether nothing more of it is to come."""
        return self.whole_since is not None or self.photo_id is not None


class PrivateLink(models.Model):
    """A rider's way back to the case.  Only the hash of the token is stored; a GET never spends it."""

    case = models.ForeignKey(Case, models.CASCADE, related_name="links")
    token_hash = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)


class Event(models.Model):
    """Something that happened to a case: who, what, when.  Never changed, never deleted on its own."""

    case = models.ForeignKey(Case, models.CASCADE, related_name="events")
    at = models.DateTimeField(auto_now_add=True)
    who = models.CharField(max_length=80)
    """'rider', 'worker', a tuner's user name, or 'shop: NAME'."""
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True)
    what = models.CharField(max_length=200)
    detail = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["at", "id"]
