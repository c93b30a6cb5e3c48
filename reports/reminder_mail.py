"""A reminder as e-mail.  Its subject and first line show on a locked telephone, so they tell nothing of the case."""
from __future__ import annotations

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from intake.events import WORKER
from intake.models import Case
from intake.services import new_link, reminder_key
from intake.sheets import Sheet
from reports.models import Reminder

Step = Reminder.Step


def reminder_message(reminder: Reminder) -> EmailMessage:
    """Return the mail of one reminder in the rider's language, with a fresh private link and one that stops it all."""
    case = reminder.round.case
    with translation.override(case.language):
        stop = settings.SITE_URL + reverse("no-more-reminders", args=[reminder_key(case=case)])
        body = "\n\n".join([_first_line(reminder), *_why(reminder), _link(case), _last_words(stop)])
        return EmailMessage(
            subject=_subject(reminder), body=body + "\n", to=[case.rider_email], connection=get_connection(), headers={
                "Message-ID": reminder.message_id, "Auto-Submitted": "auto-generated",
                "List-Unsubscribe": f"<{stop}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"})


def _subject(reminder: Reminder) -> str:
    if reminder.step in (Step.HOW_IT_GOES, Step.HOW_IT_WENT):
        return _("How did it go?")
    return _("The last reminder") if reminder.step == Step.LAST else _("A short reminder")


def _first_line(reminder: Reminder) -> str:
    if reminder.step in (Step.HOW_IT_GOES, Step.HOW_IT_WENT):
        return _("A few words are enough, better or not.")
    return _("Something here waits for you.")


def _why(reminder: Reminder) -> list[str]:
    case = reminder.round.case
    words = {
        Step.GENTLE: [_standing(case), _("Everything you typed is kept. Go on whenever it suits you.")],
        Step.ONE_ASK: [_("One thing helps most now:"), _most_useful(reminder)],
        Step.LAST: [_standing(case), _("We do not remind you again. The case stays open, and you can go on any time.")],
        Step.HOW_IT_GOES: [_("You have our letter for a week now. Tell us what you changed and how it is; if it is "
                             "not done yet, that is fine too.")],
        Step.HOW_IT_WENT: [_("You have our letter for three weeks now, and we do not ask again. Tell us how it went, "
                             "good or bad: it helps the next rider too.")],
    }
    return words[Step(reminder.step)]


def _standing(case: Case) -> str:
    if case.state == Case.State.NEEDS_ANSWER:
        return _("Your tuner asked you something and waits for your answer.")
    return _("You began to answer and have not handed it in yet.")


def _most_useful(reminder: Reminder) -> str:
    """Return the one ask that matters most now: the tuner's question, else the page that comes next."""
    case, round = reminder.round.case, reminder.round
    if case.state == Case.State.NEEDS_ANSWER:
        return case.question
    if round.number > 1 and not (round.changes or round.done):
        return _("Say what was really changed since the letter.")
    coming = Sheet(case, round, round.document).way.next
    if coming.is_test:
        return _("%(test)s, about %(minutes)s minutes. %(reason)s") % {
            "test": coming.title, "minutes": coming.station.place.minutes, "reason": coming.reason}
    return _("%(page)s. %(reason)s") % {"page": coming.title, "reason": coming.reason}


def _link(case: Case) -> str:
    address = settings.SITE_URL + reverse("open-link", args=[new_link(case=case, who=WORKER)])
    return _("Your page:\n%(address)s\nThe link is yours alone. Please do not pass it on.") % {"address": address}


def _last_words(stop: str) -> str:
    return _("No more reminders for this case:\n%(address)s") % {"address": stop}
