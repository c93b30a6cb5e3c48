"""Web-hooks: what happens to a shop's case is a row for each of its addresses, signed and sent until it arrives."""
from __future__ import annotations

import hashlib
import hmac
import json
import time
from datetime import timedelta
from functools import partial

from django.db import transaction
from django.db.models import F, QuerySet
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from intake.errors import Refused
from intake.models import Case, Shop
from intake.tokens import new_token, secret_from
from reports.far_post import checked_address, far_post
from reports.mail import LATER, Outcome
from reports.models import HookSending, WebHook
from reports.services.edge import guarded
from reports.services.sending import changes_after, claimed
from reports.signals import hook_waiting

STATE_CHANGED, LETTER_APPROVED, QUESTION_ASKED, TRIED = "state changed", "letter approved", "question asked", "test"
EVENTS = (STATE_CHANGED, LETTER_APPROVED, QUESTION_ASKED)
MOST_HOOKS = 10
MOST_TRIES = 9
"""After 1, 2, 4 … 128 minutes: about four hours."""
AT_ONCE = 500
KEPT = timedelta(days=30)
State = HookSending.State
DEAD = (State.FAILED, State.GIVEN_UP)
ENDED = "The web-hook was ended."


def hooks_of(shop: Shop) -> QuerySet[WebHook]:
    """Return the shop's addresses that are told things."""
    return WebHook.objects.filter(shop=shop, ended_at__isnull=True).order_by("id")


def add_hook(*, shop: Shop, address: str, events: list[str], salt: str = "") -> tuple[WebHook, str]:
    """Keep an address to be told of ``events``; return it and the secret that its messages are signed with.

    With the same ``salt`` again it is the same row.
    Raises ``Refused`` for an address that is not https or lies inside a network, an unknown event, one too many.
    """
    return _kept(shop, checked_address(address), events, salt)


@transaction.atomic
def _kept(shop: Shop, address: str, events: list[str], salt: str) -> tuple[WebHook, str]:
    Shop.objects.filter(pk=shop.pk).update(name=F("name"))  # holds it, so that a doubled click makes one
    before = hooks_of(shop).filter(salt=salt).first() if salt else None
    if before is not None:  # its process died before it could answer, or this is the second half of a click
        return before, secret_from(salt)
    wanted = [event for event in EVENTS if event in events]
    if not wanted or set(events) - set(EVENTS):
        raise Refused("It is not said what to tell of.", f"Pick one or more of: {', '.join(EVENTS)}.")
    if hooks_of(shop).count() >= MOST_HOOKS:
        raise Refused(f"There are {MOST_HOOKS} addresses already.", "End one before you add another.")
    made = WebHook.objects.create(shop=shop, address=address, events=wanted, salt=salt or new_token())
    return made, secret_from(made.salt)


def hook_of(*, shop: Shop, hook_id: int) -> WebHook:
    """Return one of the shop's addresses.  Raises ``Http404`` for another's."""
    found = hooks_of(shop).filter(pk=hook_id).first()
    if found is None:
        raise Http404("There is no such web-hook.")
    return found


@transaction.atomic
def end_hook(*, hook: WebHook) -> None:
    """Tell this address nothing more; what still waits for it is given up."""
    WebHook.objects.filter(pk=hook.pk, ended_at__isnull=True).update(ended_at=timezone.now())
    hook.sendings.filter(state=State.QUEUED).update(state=State.GIVEN_UP, reason=ENDED)


def tell_hooks(*, case: Case, event: str) -> None:
    """Queue ``event`` for every address of the case's shop that wants it, inside the transaction that makes it so."""
    if case.shop_id is None:
        return
    for hook in WebHook.objects.filter(shop=case.shop_id, ended_at__isnull=True):
        if event in hook.events:
            _queue(hook, case, event)


def try_hook(*, hook: WebHook) -> HookSending:
    """Queue a message that says nothing, so that the shop sees whether it arrives."""
    return _queue(hook, None, TRIED)


def _queue(hook: WebHook, case: Case | None, event: str) -> HookSending:
    token = new_token()
    body = {"id": token, "event": event, "at": timezone.now().isoformat()} | (_about(case) if case else {})
    row = HookSending.objects.create(hook=hook, case=case, event=event, token=token, body=json.dumps(body))
    _ring(row)
    return row


def _about(case: Case) -> dict[str, object]:
    """Return what is told of a case: where it stands and where to read more; nothing of the rider."""
    asked = case.question if case.state == Case.State.NEEDS_ANSWER else ""
    return {"case": case.number, "job": case.shop_job, "state": case.state, "state_since": case.state_since.isoformat(),
            "question": asked, "address": reverse("api-case", args=[case.number])}


def _ring(row: HookSending) -> None:
    transaction.on_commit(lambda: hook_waiting.send(sender=HookSending, sending_id=row.pk), robust=True)


def signature(secret: str, at: str, body: bytes) -> str:
    """Return HMAC-SHA256, as hex, over the time in seconds, a full stop and the body."""
    return hmac.new(secret.encode(), at.encode() + b"." + body, hashlib.sha256).hexdigest()


def send_hook(*, sending_id: int, worker: str) -> str:
    """Claim a queued message, sign it and post it; return the state it ended in, blank where there was nothing to do.

    A worker that vanishes leaves ``sending``; the sweep queues it again, for hearing twice does no harm.
    """
    name = claimed(HookSending.objects.all(), sending_id, worker)
    row = HookSending.objects.select_related("hook").filter(pk=sending_id).first() if name else None
    if row is None:
        return ""
    if row.hook.ended_at is not None:  # ended while an earlier try was under way, which queued it again
        changes: dict[str, object] = {"state": State.GIVEN_UP, "reason": ENDED}
    else:
        outcome = guarded(partial(_post, row), on_failure=lambda words: Outcome(LATER, words))
        changes = changes_after(outcome, row.attempts, most=MOST_TRIES, spent=State.GIVEN_UP)
    mine = HookSending.objects.filter(pk=row.pk, claimed_by=name, state=State.SENDING)
    return str(changes["state"]) if mine.update(claimed_until=None, **changes) else ""


def _post(row: HookSending) -> Outcome:
    body, at = row.body.encode(), str(int(time.time()))
    return far_post(row.hook.address, body, {
        "Content-Type": "application/json", "User-Agent": "Farbench", "Farbench-Event": row.event,
        "Farbench-Delivery": row.token, "Farbench-Time": at,
        "Farbench-Signature": signature(secret_from(row.hook.salt), at, body)})


def sending_of(*, sending_id: int, shop: Shop | None = None) -> HookSending:
    """Return one message, of the shop's own where a shop asks.  Raises ``Http404`` for any other."""
    rows = HookSending.objects.select_related("hook__shop", "case")
    found = (rows.filter(hook__shop=shop) if shop else rows).filter(pk=sending_id).first()
    if found is None:
        raise Http404("There is no such message.")
    return found


def send_again(*, sending: HookSending) -> HookSending:
    """Queue a message once more that had failed or was given up.  Raises ``Refused`` where it is on its way or sent."""
    if sending.hook.ended_at is not None:
        raise Refused(ENDED, "Add the address again; later messages go there.")
    back = HookSending.objects.filter(pk=sending.pk, state__in=DEAD).update(
        state=State.QUEUED, attempts=0, claimed_by="", not_before=None, reason="")
    if not back:
        raise Refused("This message has moved on meanwhile.", "Look at the list again.")
    sending.refresh_from_db()
    transaction.on_commit(lambda: hook_waiting.send(sender=HookSending, sending_id=sending.pk), robust=True)
    return sending


def dead_sendings(shop: Shop | None = None) -> QuerySet[HookSending]:
    """Return what did not arrive and is not tried any more, newest first: a shop's own, or all for a tuner."""
    rows = HookSending.objects.filter(state__in=DEAD, hook__ended_at__isnull=True)
    return (rows.filter(hook__shop=shop) if shop else rows).select_related("hook__shop", "case").order_by("-id")


def forget_old_sendings() -> None:
    """Forget messages that arrived a month ago; what did not arrive stays until somebody looks."""
    old = HookSending.objects.filter(state=State.SENT, sent_at__lt=timezone.now() - KEPT).order_by("pk")
    HookSending.objects.filter(pk__in=list(old.values_list("pk", flat=True)[:AT_ONCE])).delete()


def lost_hooks_again() -> None:
    """Queue messages again whose worker vanished while sending."""
    hanging = HookSending.objects.filter(state=State.SENDING, claimed_until__lt=timezone.now())
    for row in list(hanging[:AT_ONCE]):
        changes = changes_after(Outcome(LATER, "The worker stopped while it was sending."), row.attempts,
                                most=MOST_TRIES, spent=State.GIVEN_UP)
        HookSending.objects.filter(pk=row.pk, claimed_by=row.claimed_by, state=State.SENDING).update(
            claimed_by="", claimed_until=None, **changes)
