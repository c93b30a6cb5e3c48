"""The beginning of a case."""
from __future__ import annotations

import re
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from intake.errors import Refused
from intake.events import RIDER, record_event
from intake.links import case_for_token, new_link
from intake.models import Case, Erased, Round, Shop
from intake.paths import storable
from intake.search import note_words
from intake.tokens import new_token

TRIES = 5
_TOKEN = re.compile(r"[A-Za-z0-9_-]{43}")


def start_case(
    *, rider_email: str = "", rider_name: str = "", shop: Shop | None = None, shop_job: str = "", title: str = "",
    language: str = "",
) -> Case:
    """Start a case with an empty first round.  Raises ``Refused`` for an address that cannot be one."""
    with transaction.atomic():
        case = _numbered(
            rider_email=checked_email(rider_email), rider_name=_fitting(rider_name, 120), shop=shop,
            shop_job=shop_job, title=_fitting(title, 160), language=_known_language(language))
        Round.objects.create(case=case, number=1)
        note_words(case=case)
        record_event(case=case, who=f"shop: {shop}" if shop else RIDER, what="Case started.")
    return case


def start_case_once(
    *, token: str, rider_email: str = "", rider_name: str = "", language: str = "",
) -> tuple[Case, str, bool]:
    """Start a case for a page that carries ``token``; return it, its private link's token and whether anything is new.

    The token becomes the private link, and links are unique: a doubled click comes to the case that the first one
    started, also where both arrive at the same moment.  Whoever goes back and corrects the name or the address comes
    to that case too, and what was corrected counts.
    """
    token = token if _TOKEN.fullmatch(token) else new_token()
    known = case_for_token(token=token)
    if known is not None:
        return _started_before(known, token, rider_name, rider_email)
    try:
        with transaction.atomic():
            case = start_case(rider_email=rider_email, rider_name=rider_name, language=language)
            return case, new_link(case=case, token=token), True
    except IntegrityError:
        known = case_for_token(token=token)
        if known is not None:
            return _started_before(known, token, rider_name, rider_email)
    # That link was ended meanwhile.
    case = start_case(rider_email=rider_email, rider_name=rider_name, language=language)
    return case, new_link(case=case), True


def _started_before(case: Case, token: str, rider_name: str, rider_email: str) -> tuple[Case, str, bool]:
    was = case.rider_name, case.rider_email
    case = save_contact(case=case, rider_name=rider_name, rider_email=rider_email)
    return case, token, (case.rider_name, case.rider_email) != was


def _numbered(**fields: Any) -> Case:
    """Create a case under a number of its own: among a million cases, one fresh number in a thousand is taken."""
    for _try in range(TRIES):
        case = Case(**fields)
        if Erased.objects.filter(number=case.number).exists():  # it meant somebody else's case once
            continue
        try:
            with transaction.atomic():
                case.save()
            return case
        except IntegrityError:
            if not Case.objects.filter(number=case.number).exists():
                raise
    raise Refused(_("No free case number was found."), _("Try again."))


def save_contact(*, case: Case, rider_name: str, rider_email: str) -> Case:
    """Keep the rider's name and address as the rider writes them.  Raises ``Refused`` for a bad address."""
    name, email = _fitting(rider_name, 120), checked_email(rider_email)
    if (name, email) != (case.rider_name, case.rider_email):
        with transaction.atomic():
            Case.objects.filter(pk=case.pk).update(rider_name=name, rider_email=email)
            note_words(case=case)
            was = {"name": case.rider_name, "email": case.rider_email}
            record_event(case=case, who=RIDER, what="Name or e-mail address changed.", detail={"was": was})
        case.refresh_from_db()
    return case


def save_language(*, case: Case, language: str) -> None:
    """Keep the language that the rider reads in; letters and mails follow it."""
    if _known_language(language) == language != case.language:
        Case.objects.filter(pk=case.pk).update(language=language)
        record_event(case=case, who=RIDER, what="Language picked.", detail={"was": case.language, "now": language})
        case.refresh_from_db()


def _known_language(language: str) -> str:
    return language if language in dict(settings.LANGUAGES) else "en"


def checked_email(email: str) -> str:
    """Return the address without blanks around it, or raise ``Refused``.  An empty one is fine."""
    email = email.strip()
    if not email:
        return ""
    try:
        validate_email(email)
    except ValidationError:
        raise Refused(_("'%(email)s' is not a complete e-mail address.") % {"email": email[:80]},
                      _("Write it like name@example.org.")) from None
    if len(email) > 254:
        raise Refused(_("The e-mail address is too long."),
                      _("Use one like name@example.org, at most 254 characters."))
    return email


def _fitting(text: str, length: int) -> str:
    return " ".join(storable(text).split())[:length]
