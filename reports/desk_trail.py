"""The desk: who has read and who has changed a case."""
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth import get_user_model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from intake.models import Case, Read, ShopToken, ShopUser
from intake.services import case_for
from reports.desk_sign_in import tuner

SHOWN = 200
LOOKED_AT = {
    "desk-case": "the case", "desk-trail": "this page", "photo": "a photo",
    "figure": "a figure", "try-numbers": "the curves", "try-answer": "other numbers, tried",
    "ask": "what to ask", "close-case": "how it would be closed", "case-sheets": "data sheets to pick from",
    "travel-logs": "the travel logs",
    "letter-edit": "the letter", "letter-preview": "the letter", "letter-versions": "the letter's versions",
    "service-sheet": "the service sheet", "travel-log": "a travel log", "travel-log-file": "a travel log's file",
    "shop-case": "the case", "shop-photo": "a photo", "shop-letter-pdf": "the letter on paper",
    "shop-sheet-pdf": "the service sheet", "api-case": "how the case stands", "api-rounds": "the rounds",
    "api-round": "a round", "api-photo": "a photo", "api-findings": "the findings", "api-letter": "the letter",
    "api-letter-pdf": "the letter on paper", "api-service-sheet": "the service sheet",
    "api-service-sheet-pdf": "the service sheet on paper",
}
"""Addresses in words; one without says its own name."""


@dataclass(frozen=True)
class Line:
    """One thing that somebody did."""

    at: datetime
    who: str
    what: str
    changed: bool


@tuner
@require_GET
def desk_trail(request: HttpRequest, number: str) -> HttpResponse:
    """The newest of what was read and changed, one list."""
    case = case_for(user=request.user, number=number)
    lines = sorted([*_changes(case), *_reads(case)], key=lambda line: line.at, reverse=True)
    return render(request, "reports/desk/trail.html", {"case": case, "lines": lines[:SHOWN], "shown": SHOWN})


def _changes(case: Case) -> Iterable[Line]:
    return (Line(event.at, event.who, event.what, True) for event in case.events.order_by("-id")[:SHOWN])


def _reads(case: Case) -> Iterable[Line]:
    reads = list(case.reads.order_by("-id")[:SHOWN])
    names = _names({read.user_id for read in reads if read.user_id}, {read.token_id for read in reads if read.token_id})
    return (Line(read.at, names.get((read.user_id, read.token_id), "somebody whose sign-in is gone"), _looked_at(read),
                 False) for read in reads)


def _looked_at(read: Read) -> str:
    name = LOOKED_AT.get(read.what, read.what.replace("-", " "))
    return f"Looked at {name}{f', number {read.which}' if read.which else ''}."


def _names(users: set[int], tokens: set[int]) -> dict[tuple[int | None, int | None], str]:
    """Return who stands behind the ids, as the diary writes it."""
    shops = {one.user_id: one.shop for one in ShopUser.objects.filter(user__in=users).select_related("shop")}
    people = {(user.pk, None): f"shop: {shops[user.pk]}, {user}" if user.pk in shops else str(user)
              for user in get_user_model().objects.filter(pk__in=users)}
    programs = ShopToken.objects.filter(pk__in=tokens).select_related("shop")
    return people | {(None, token.pk): f"shop: {token.shop}, token '{token.name}'" for token in programs}
