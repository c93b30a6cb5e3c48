"""Asked twice, done once: the answer to a POST with an Idempotency-Key is kept for a day and given again.

The key is the shop's.  The first request with it claims a row; whoever comes with the same key and the same request
gets the kept answer, byte for byte, and with another request a word that the key is taken.
"""
from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import timedelta

from django.db import IntegrityError, transaction
from django.http import HttpResponse
from django.utils import timezone
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from intake.api_problems import ANSWERED, MEDIA_TYPE, problem, problem_body, problem_handler
from intake.models import Case, KeptAnswer, Shop
from intake.tokens import new_token, secret_from

KEPT = timedelta(hours=24)
HOLD = timedelta(minutes=2)
"""How long the first request may take; if it vanished, the next one with the same key takes over."""
LONGEST_KEY = 200
HEADER = "Idempotency-Key"
PLACEHOLDER = "\u0001secret\u0001"
"""Stands in a kept answer for the secret that it shows."""
AT_ONCE = 1000
Answer = Response | HttpResponse


def answered_once(request: Request, work: Callable[[], Answer], *, by_token: bool = False) -> Answer:
    """Return ``work``'s answer, or the one that was given to this very request within the last day.

    ``by_token``: what another token of the shop asks for is another request.
    """
    key = request.headers.get(HEADER)
    if key is None:
        return work()
    if not key.strip() or len(key) > LONGEST_KEY or not key.isprintable():
        return problem(400, f"The {HEADER} cannot be used.", mend=f"Send 1 to {LONGEST_KEY} printable signs.")
    printed = _print_of(request, request.auth.pk if by_token else 0)
    row, mine = _claim(request.user, key, printed)
    if not mine:
        return _again(row, printed)
    request.kept_answer = row
    answer: Answer | None = None
    try:
        answer = _answer(request, work)
        return answer
    finally:
        _settle(row, answer)


def fresh_salt(request: Request) -> str:
    """Return the salt of a secret that this request makes; the same request again makes the same secret."""
    row = getattr(request, "kept_answer", None)
    return row.salt if row is not None else new_token()


def mark_of(request: Request) -> str:
    """Return a mark that this request has whenever it comes with its key; blank where it came without one.

    What the request makes is stored under it, and known again where its process died before it could answer.
    """
    row = getattr(request, "kept_answer", None)
    return secret_from(f"{row.shop_id} {row.key} {row.request_hash}") if row is not None else ""


def sweep_answers() -> None:
    """Forget answers that are older than a day."""
    old = KeptAnswer.objects.filter(created_at__lt=timezone.now() - KEPT).order_by("created_at")
    KeptAnswer.objects.filter(pk__in=list(old.values_list("pk", flat=True)[:AT_ONCE])).delete()


def forget_answers_about(case: Case) -> None:
    """Put a word in the place of each kept answer that tells of a case that is being erased."""
    said = problem_body(409, "The answer to this request told of a case that has been erased since.",
                        mend="The request was done then. Ask anew how things stand.")
    KeptAnswer.objects.filter(shop=case.shop_id, body__contains=case.number).update(
        status=409, content_type=MEDIA_TYPE, location="", body=json.dumps(said))


def _answer(request: Request, work: Callable[[], Answer]) -> Answer:
    try:
        return work()
    except ANSWERED as error:
        return problem_handler(error, {})


def _print_of(request: Request, token_id: int = 0) -> str:
    """Return a hash over method, address and body, and over who asks where that matters.

    A body that cannot be read is refused here, before anything is kept.
    """
    data = request.data
    body = data if isinstance(data, bytes) else json.dumps(data, sort_keys=True).encode()
    head = json.dumps([request.method, request.get_full_path(), *([token_id] if token_id else [])]).encode()
    return hashlib.sha256(head + b"\n" + body).hexdigest()


def _claim(shop: Shop, key: str, printed: str) -> tuple[KeptAnswer | None, bool]:
    """Return the key's row, and whether it is this request's to answer."""
    now = timezone.now()
    KeptAnswer.objects.filter(shop=shop, key=key, created_at__lt=now - KEPT).delete()
    try:
        with transaction.atomic():
            return KeptAnswer.objects.create(shop=shop, key=key, request_hash=printed, salt=new_token(),
                                             claimed_until=now + HOLD), True
    except IntegrityError:
        row = KeptAnswer.objects.filter(shop=shop, key=key).first()
    if row is None or row.status or row.request_hash != printed or row.claimed_until > now:
        return row, False
    left = KeptAnswer.objects.filter(pk=row.pk, status=0, claimed_until=row.claimed_until)
    return row, left.update(claimed_until=now + HOLD) == 1


def _again(row: KeptAnswer | None, printed: str) -> Answer:
    if row is not None and row.request_hash != printed:
        return problem(422, f"This {HEADER} was used for another request within the last day.",
                       mend="Send a new key with each new request; the same key only to repeat the same one.")
    if row is None or not row.status:
        return problem(409, "The same request is being worked on at this moment.",
                       mend="Wait a few seconds and send it again with the same key.", headers={"Retry-After": "5"})
    headers = {"Location": row.location} if row.location else None
    body = row.body.replace(json.dumps(PLACEHOLDER)[1:-1], secret_from(row.salt))
    return HttpResponse(body, status=row.status, content_type=row.content_type, headers=headers)


def _settle(row: KeptAnswer, answer: Answer | None) -> None:
    """Keep the answer.  One that is the server's own fault is forgotten, so that the request can be sent again."""
    if answer is None or answer.status_code >= 500:
        row.delete()
        return
    body = JSONRenderer().render(answer.data).decode() if isinstance(answer, Response) else answer.content.decode()
    KeptAnswer.objects.filter(pk=row.pk).update(
        status=answer.status_code, content_type=getattr(answer, "content_type", None) or "application/json",
        location=answer.headers.get("Location", ""),
        body=body.replace(secret_from(row.salt), json.dumps(PLACEHOLDER)[1:-1]))
