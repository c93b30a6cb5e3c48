"""The main job once: a demo case is handed in, drafted, approved and mailed into a folder."""
from __future__ import annotations

import email
import email.policy
import time
from collections.abc import Callable
from email.message import EmailMessage
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser

from deploy import demo
from intake.models import WorkOrder
from reports import services
from reports.models import Delivery, Draft, Letter

CASE = "01-wall-after-the-oil-change"
PATIENCE = 90.0
UNDER_WAY = (Delivery.State.QUEUED, Delivery.State.SENDING)


class NotDone(Exception):
    """One step of the main job did not come about."""


def main_job(site: str, made: Path) -> int:
    """Do the main job, write what came of it into ``made``, and say so.  Returns the exit status."""
    try:
        letter, mail = _letter_in_the_mail()
    except NotDone as problem:
        print(f"The main job was not done: {problem}")
        return 1
    made.mkdir(parents=True, exist_ok=True)
    findings = letter.draft.findings
    print(f"Verdict   {findings['verdict']['words']}")
    print(f"Case      {letter.round.case.number} (from fixtures/demo/{CASE}.json, drafted by the worker at {site})")
    for what, path in _written(made, letter.draft, mail).items():
        print(f"{what:<9} {path}")
    return 0


def _letter_in_the_mail() -> tuple[Letter, EmailMessage]:
    if demo.real_cases_are_there():  # only where DATABASE_URL leads to them: otherwise this run has its own database
        raise NotDone("the database holds real cases, and a demo case has no business among them. To run Farbench on "
                      "it without a terminal, start with --serve; for the demo, unset DATABASE_URL.")
    case = demo.hand_in(CASE, demo.documents()[CASE])
    order = WorkOrder.objects.get(round__case=case)
    _wait(lambda: _state(order) in demo.DONE, "the worker did not draft the case in time")
    if _state(order) != WorkOrder.State.DONE:
        raise NotDone(f"the worker gave the case up: {order.reason}")
    letter, user = Letter.objects.get(round=order.round), _demo_tuner()
    services.approve(letter=letter, version=letter.version, user=user)
    delivery = services.queue_delivery(letter=letter, to=case.rider_email, user=user)
    _wait(lambda: _state(delivery) not in UNDER_WAY, "the worker did not send the letter in time")
    if _state(delivery) != Delivery.State.SENT:
        raise NotDone(f"the letter is {delivery.state}: {delivery.reason}")
    return letter, _mail_with(delivery.message_id)


def _demo_tuner() -> AbstractBaseUser:
    """A tuner that nobody can sign in as: it has no password."""
    user, made = get_user_model().objects.get_or_create(username="demo-tuner", defaults={"is_staff": True})
    if made:
        user.set_unusable_password()
        user.save()
    return user


def _state(row: Any) -> str:
    row.refresh_from_db()
    return str(row.state)


def _wait(until: Callable[[], bool], otherwise: str) -> None:
    end = time.monotonic() + PATIENCE
    while not until():
        if time.monotonic() > end:
            raise NotDone(otherwise)
        time.sleep(0.05)


def _mail_with(message_id: str) -> EmailMessage:
    for path in Path(settings.EMAIL_FILE_PATH).glob("*.log"):
        message = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
        if message["Message-ID"] == message_id:
            return message
    raise NotDone(f"no mail {message_id} lies in {settings.EMAIL_FILE_PATH}")


def _written(made: Path, draft: Draft, mail: EmailMessage) -> dict[str, Path]:
    """Write mail, letter, report and figures as files and return where they are."""
    files: dict[str, tuple[str, bytes]] = {"Mail": ("letter.eml", bytes(mail))}
    if (words := mail.get_body(("plain",))) is not None:
        files["Letter"] = ("letter.txt", words.get_content().encode())
    for part in mail.iter_attachments():
        if part.get_content_type() == "application/pdf":
            files["Report"] = ("report.pdf", part.get_content())
    for number, figure in enumerate(draft.figures, 1):
        files[f"Figure {number}"] = (f"figure-{number}-{figure['name']}.svg", figure["svg"].encode())
    for name, content in files.values():
        (made / name).write_bytes(content)
    return {what: made / name for what, (name, _) in files.items()}
