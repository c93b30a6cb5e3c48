"""A letter as e-mail: text, HTML and the PDF as approved, and what the relay made of it."""
from __future__ import annotations

import smtplib
from contextlib import suppress
from dataclasses import dataclass
from email.utils import parseaddr

from django.conf import settings
from django.core.mail import EmailMessage, EmailMultiAlternatives, get_connection
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import get_language, override

from reports import markup
from reports.models import Delivery
from reports.tongue import tell

SENT, FAILED, LATER, UNKNOWN = "sent", "failed", "later", "unknown"


@dataclass(frozen=True)
class Outcome:
    """What became of one attempt: ``sent``, ``failed`` for good, ``later`` (try again), or ``unknown``; and why."""

    state: str
    words: str = ""


def letter_message(delivery: Delivery, words: str) -> EmailMultiAlternatives:
    """Return the mail of one delivery of an approved letter whose approved words are ``words``.

    Nothing that a rider typed stands in a header; the address was checked when it was queued.
    """
    with override(delivery.letter.draft.language):
        return _message(delivery, words)


def _message(delivery: Delivery, words: str) -> EmailMultiAlternatives:
    round = delivery.letter.round
    context = {
        "lang": (get_language() or "en")[:2], "number": round.case.number,
        "words": markup.plain(words), "words_html": markup.html(words),
        "page": settings.SITE_URL + reverse("letter", args=[round.case.number]),
    }
    message = EmailMultiAlternatives(
        subject=tell("Your suspension, case {number}: our letter", number=round.case.number),
        body=render_to_string("reports/mail.txt", context),
        to=[delivery.to],
        headers={"Message-ID": delivery.message_id},
        connection=get_connection(),
    )
    message.attach_alternative(render_to_string("reports/mail.html", context), "text/html")
    message.attach(f"{round.case.number}-round-{round.number}.pdf", bytes(delivery.letter.pdf), "application/pdf")
    return message


def message_id(unique: str) -> str:
    """Return a Message-ID around ``unique``, in the sender's own domain."""
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    return f"<{unique}@{domain[:70]}>"


def hand_over(message: EmailMessage) -> Outcome:
    """Give ``message`` to the relay, and tell "surely not taken" from "nobody can say"."""
    connection = message.get_connection()
    try:
        connection.open()
    except OSError as problem:  # smtplib's own errors are OSErrors too; nothing was offered yet
        return _answer(problem) or Outcome(LATER, f"The mail relay cannot be reached: {_words(problem)}")
    try:
        connection.send_messages([message])
    except OSError as problem:
        return _answer(problem) or Outcome(UNKNOWN, f"The mail relay went silent: {_words(problem)}")
    finally:
        with suppress(OSError):  # a relay that fails at good-bye has the mail all the same
            connection.close()
    return Outcome(SENT)


def _answer(problem: OSError) -> Outcome | None:
    """Return what the relay itself answered, or None where it gave no answer."""
    if isinstance(problem, smtplib.SMTPRecipientsRefused):
        code, words = next(iter(problem.recipients.values()))
    elif isinstance(problem, smtplib.SMTPResponseException):
        code, words = problem.smtp_code, problem.smtp_error
    elif isinstance(problem, smtplib.SMTPNotSupportedError):
        return Outcome(FAILED, f"The mail relay cannot do what is needed: {_words(problem)}")
    else:
        return None
    said = words.decode(errors="replace") if isinstance(words, bytes) else str(words)
    state = {4: LATER, 5: FAILED}.get(code // 100)
    return state and Outcome(state, f"The mail relay refused: {said} ({code}).")


def _words(problem: OSError) -> str:
    return f"{problem.strerror or problem or type(problem).__name__}."
