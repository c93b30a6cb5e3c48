"""What a case costs: quoted, agreed, settled or waived.  Nothing is paid here, and a stop is told for free."""
from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from intake.errors import Refused
from intake.events import record_event
from intake.models import Case
from intake.paths import storable
from intake.states import hold
from reports.models import Draft
from reports.shelf_models import Fee

S = Fee.State
NEXT = {None: (), S.QUOTED: (S.AGREED, S.WAIVED), S.AGREED: (S.SETTLED, S.WAIVED), S.SETTLED: (), S.WAIVED: ()}
"""What can follow on what; a new quote can follow on anything that is not settled."""
LONGEST = 500
MOST = Decimal("99999999.99")


def quote_fee(*, case: Case, amount: str, currency: str, covers: str, user: AbstractBaseUser) -> Fee:
    """Quote what a case costs and what that covers.  The same quote twice is kept once.

    Refused for a case that stops a ride or is not worked out yet: nobody pays to be told that a bike is unsafe.
    """
    price, code, words = _amount(amount), _currency(currency), _words(covers, "what it covers")
    with transaction.atomic():
        hold(case)
        _check_free(case)
        standing = fee_of(case=case)
        if standing and standing.state == S.SETTLED:
            raise Refused("The fee is settled.", "Say in the letter what else would cost, before you do it.")
        if standing and standing.state == S.QUOTED and (standing.amount, standing.currency, standing.covers) == (
                price, code, words):
            return standing
        return _row(case, S.QUOTED, price, code, words, "", user)


def move_fee(*, case: Case, state: str, user: AbstractBaseUser, reason: str = "") -> Fee:
    """Note that a quote is agreed, settled, or waived with a reason.  Noting it twice changes nothing."""
    with transaction.atomic():
        hold(case)
        standing = fee_of(case=case)
        if standing is None:
            raise Refused("There is no quote yet.", "Write one first.")
        if standing.state == state:
            return standing
        if state not in NEXT[S(standing.state)]:
            raise Refused(f"The fee is {standing.get_state_display()}.", "Reload the page to see what can follow.")
        why = _words(reason, "why it is waived") if state == S.WAIVED else ""
        return _row(case, state, standing.amount, standing.currency, standing.covers, why, user)


def fee_of(*, case: Case) -> Fee | None:
    """Return the fee as it stands."""
    return case.fees.order_by("-id").first()


def shown_fee(*, case: Case) -> Fee | None:
    """Return the fee that rider and shop may see: none in a case that stops a ride, nor before it is worked out."""
    return fee_of(case=case) if not case.stop and _worked_out(case) else None


def _worked_out(case: Case) -> bool:
    round = case.current_round
    return round.handed_in_at is None or Draft.objects.filter(round=round, revision=round.revision).exists()


def _check_free(case: Case) -> None:
    case.refresh_from_db()
    if case.stop:
        raise Refused("This case stops a ride, and that is told for free.", "Send the letter that says so.")
    round = case.current_round
    if not Draft.objects.filter(round=round, revision=round.revision).exists():
        raise Refused("This case is not worked out yet.",
                      "Wait for its draft: if it stops the ride, that is told for free.")


def _row(case: Case, state: str, amount: Decimal, currency: str, covers: str, reason: str,
         user: AbstractBaseUser) -> Fee:
    fee = Fee.objects.create(case=case, state=state, amount=amount, currency=currency, covers=covers, reason=reason,
                             user=user, who=user.get_username())
    record_event(case=case, who=fee.who, user=user, what=f"Fee {fee.get_state_display()}.",
                 detail={"amount": str(amount), "currency": currency, "covers": covers, "reason": reason})
    return fee


def _amount(typed: str) -> Decimal:
    text = typed.strip().replace(",", ".")
    try:
        amount = Decimal(text) if re.fullmatch(r"[0-9]{1,8}(\.[0-9]{1,2})?", text) else None
    except InvalidOperation:
        amount = None
    if amount is None or not 0 < amount <= MOST:
        raise Refused("This is not an amount.", "Write it in figures above 0, such as 85 or 85.50. To charge nothing, "
                      "leave it without a quote.")
    return amount.quantize(Decimal("0.01"))


def _currency(typed: str) -> str:
    code = typed.strip().upper()
    if not re.fullmatch(r"[A-Z]{3}", code):
        raise Refused("This is not a currency's code.", "Write its three letters, such as EUR.")
    return code


def _words(typed: str, what: str) -> str:
    words = " ".join(storable(typed).split())
    if not words or len(words) > LONGEST:
        raise Refused(f"It does not say {what}." if not words else f"There are {len(words)} signs.",
                      f"Say {what} in 1 to {LONGEST} signs.")
    return words
