"""What the fault tests run in processes of their own, so that they can be killed.

The module is loaded once, by the server that forks those processes: each is there in an instant.
"""
from __future__ import annotations

import os
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

os.environ["DJANGO_SETTINGS_MODULE"] = "deploy.settings"
import django

django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from reports import services, sweeper  # noqa: E402
from reports.models import Letter  # noqa: E402
from reports.services import drafting  # noqa: E402
from tests.faults.photo_jobs import PHOTO_JOBS  # noqa: E402
from tests.letter_cases import handed_in, tuner, use_fake_engine  # noqa: E402

Talk = Connection


def migrate(talk: Talk) -> None:
    call_command("migrate", verbosity=0)


def prepare(talk: Talk, count: int) -> None:
    """Hand in so many cases and name their work orders."""
    talk.send([handed_in().pk for _ in range(count)])


def approve(talk: Talk, to: str) -> None:
    """Approve every letter, queue it, and name the deliveries."""
    for letter in Letter.objects.all():
        services.approve(letter=letter, version=letter.version, user=tuner())
    talk.send([services.queue_delivery(letter=letter, to=to).pk for letter in Letter.objects.order_by("pk")])


def draft(talk: Talk, orders: list[int]) -> None:
    """Draft them, and say how many of them it was us who did."""
    made = [services.draft_round(order_id=order, worker=f"child {os.getpid()}") for order in orders]
    talk.send(sum(each is not None for each in made))


def deliver(talk: Talk, deliveries: list[int]) -> None:
    talk.send([services.deliver(delivery_id=each, worker=f"child {os.getpid()}") for each in deliveries])


def sweep(talk: Talk) -> None:
    sweeper.sweep()


def stall_at(place: str) -> Callable[..., None]:
    """Return a job that drafts until it reaches ``place`` of ``drafting``, and stays there until killed."""

    def draft_and_stall(talk: Talk, orders: list[int]) -> None:
        def stall(*args: Any, **kwargs: Any) -> None:
            talk.send("stalled")
            time.sleep(600)

        setattr(drafting, place, stall)
        draft(talk, orders)

    return draft_and_stall


def draft_without_patience(talk: Talk, orders: list[int]) -> None:
    """Compute until told to go on, then give up at once where the database is locked."""
    quick = drafting.compute

    def slow(round: Any) -> Any:
        connection.close()
        connection.settings_dict["OPTIONS"]["timeout"] = 0.1
        talk.send("computing")
        talk.recv()
        return quick(round)

    drafting.compute = slow
    draft(talk, orders)


JOBS: dict[str, Callable[..., None]] = {
    "migrate": migrate, "prepare": prepare, "approve": approve, "draft": draft, "deliver": deliver, "sweep": sweep,
    "draft and stall computing": stall_at("compute"), "draft and stall storing": stall_at("record_assessment"),
    "draft without patience": draft_without_patience,
} | PHOTO_JOBS


class ForGood:
    """Sets attributes for good: the process does not outlive its test."""

    setattr = staticmethod(setattr)


def run(talk: Talk, database: str, errors: str, relay_port: int, job: str, *args: Any) -> None:
    """Do one job in one installation, once told to go."""
    os.dup2(os.open(errors, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600), 2)
    connection.settings_dict["NAME"] = database
    settings.MEDIA_ROOT = os.path.join(os.path.dirname(database), "media")
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", relay_port
    use_fake_engine(ForGood)
    talk.recv()
    JOBS[job](talk, *args)
