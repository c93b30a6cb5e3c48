"""The rider's private link: random, stored hashed, expiring, revocable, renewed by use.

Mail scanners fetch every address in a mail, so a GET only shows a button; the POST behind it calls ``enter``, which
exchanges the token for the session's cookie.  A link can be used again (another phone, a cleared browser) until it
expires or is revoked, and revoking it also ends the sessions that came through it.
"""
from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django.conf import settings
from django.contrib.sessions.backends.base import SessionBase
from django.core.cache import cache
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import override

from intake.errors import Refused
from intake.events import RIDER, WORKER, record_event
from intake.models import Case, PrivateLink
from intake.paths import storable
from intake.tokens import hash_token, new_token, secret_from

LIFETIME = timedelta(days=60)
MOST_MAILS = 5
"""Asked links an hour to one address, counted by each web process for itself: a brake, not a fence."""
SESSION_KEY = "cases"
"""In the session: case number -> id of the link it was entered by."""


def good_links() -> QuerySet[PrivateLink]:
    """Return the links that still open a case."""
    return PrivateLink.objects.filter(revoked_at__isnull=True, expires_at__gt=timezone.now())


def new_link(*, case: Case, token: str = "", who: str = RIDER) -> str:
    """Make a private link and return its token.  This is the only time that the token can be seen.

    ``who`` made it: what the worker does for a mail is no sign of life from the rider.

    ``token``: one that ``new_token`` made earlier, for a form that must not start two cases.
    """
    token = token or new_token()
    with transaction.atomic():
        PrivateLink.objects.create(case=case, token_hash=hash_token(token), expires_at=timezone.now() + LIFETIME)
        record_event(case=case, who=who, what="Private link made.")
    return token


def case_for_token(*, token: str) -> Case | None:
    """Return the case that a token opens, or None.  Nothing is spent by looking."""
    link = good_links().select_related("case").filter(token_hash=hash_token(token)).first()
    return link.case if link else None


def enter(*, token: str, session: SessionBase) -> Case:
    """Exchange a token for a place in the session; the link's time starts anew.  Called by POST only.

    Raises ``Refused`` for a token that is unknown, expired or revoked: they all look alike from outside.
    """
    links = good_links().filter(token_hash=hash_token(token))
    link = links.select_related("case").first()
    if link is None or not links.update(expires_at=timezone.now() + LIFETIME):
        raise Refused(_("This link is too old or was replaced by a newer one."),
                      _("Open the newest mail from us, or ask for a fresh link with your case number."))
    entered = session.get(SESSION_KEY, {})
    if link.case.number not in entered:
        # Against a key that somebody else knows.  A case that is open here already gives nobody anything new, and a
        # doubled click, whose first answer the browser throws away, would lose the key and every case with it.
        session.cycle_key()
    session[SESSION_KEY] = entered | {link.case.number: link.pk}
    return link.case


def revoke_links(*, case: Case) -> int:
    """Revoke every link of the case and the sessions that came through them; return how many links."""
    with transaction.atomic():
        revoked = PrivateLink.objects.filter(case=case, revoked_at__isnull=True).update(revoked_at=timezone.now())
        if revoked:
            record_event(case=case, who=RIDER, what="Private links revoked.", detail={"links": revoked})
    return revoked


def renew_link(*, case: Case, salt: str = "") -> str:
    """Revoke every old link and return the token of a fresh one; with the same ``salt`` it is the same one."""
    token = secret_from(salt or new_token())
    with transaction.atomic():
        if case_for_token(token=token) == case:
            return token
        revoke_links(case=case)
        return new_link(case=case, token=token)


def mail_link(*, case: Case, asked: str = "", once_out: Callable[[], None] | None = None) -> None:
    """Mail the rider a fresh private link after the commit, in the rider's language; ``asked``: a tuner's question.

    Without an address nothing is mailed.  A relay that does not answer is noted in the diary; the case is not harmed.
    ``once_out`` is called when the relay has taken it.
    """
    if not case.rider_email:
        return
    token = new_link(case=case, who=WORKER if asked else RIDER)
    address = settings.SITE_URL + reverse("open-link", args=[token])
    transaction.on_commit(lambda: _post(case, asked, address) and once_out and once_out())


def mail_asked_link(*, case: Case) -> None:
    """Mail a fresh link that somebody at a browser asked for: at most ``MOST_MAILS`` an hour to one address.

    Whoever starts cases or asks for links over and over could otherwise fill a stranger's letter-box.
    """
    counter = f"asked-links:{hash_token(case.rider_email.lower())}"
    sent = cache.get(counter, 0)
    if case.rider_email and sent < MOST_MAILS:
        cache.set(counter, sent + 1, timeout=3600)
        mail_link(case=case)


def ask_for_link(*, number: str, email: str) -> None:
    """Mail a fresh link where number and address belong together.  The caller answers the same in either case."""
    number, email = (typed.strip().replace("\x00", "") for typed in (number, email))
    case = Case.objects.filter(number=number.upper(), rider_email__iexact=email).first()
    if case is not None:
        mail_asked_link(case=case)


def _written(case: Case, asked: str, address: str) -> EmailMessage:
    words = [_("Your page for case %(number)s:") % {"number": case.number}, address,
             _("The link is yours alone. Please do not pass it on.")]
    if asked:
        words = [_("Your tuner asks:"), asked, _("The form is open again for your answer."), *words]
    subject = _("Your suspension case %(number)s") % {"number": case.number}
    return EmailMessage(subject, "\n\n".join(words) + "\n", to=[case.rider_email])


def _post(case: Case, asked: str, address: str) -> bool:
    who = WORKER if asked else RIDER
    with override(case.language):
        message = _written(case, asked, address)
    try:
        message.send()
    except OSError as trouble:  # smtplib's errors are OSErrors too
        record_event(case=case, who=who, what="The private link could not be mailed.",
                     detail={"reason": storable(str(trouble)[:300])})
        return False
    record_event(case=case, who=who, what="Private link mailed.")
    return True
