"""The shop's door: hand in a job, read how it stands, correct it while it waits for an answer."""
from __future__ import annotations

import re
from typing import Any

from django.db import transaction
from django.db.models import Max, QuerySet
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.exceptions import NotFound, ParseError
from rest_framework.pagination import Cursor, CursorPagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer

from intake import services
from intake.api_auth import shop_view
from intake.api_problems import MEDIA_TYPE, problem, problem_handler
from intake.api_shapes import CaseOut, CasePageOut, DocumentIn, JobIn, ProblemOut, case_shape
from intake.models import Case, Shop
from intake.once import HEADER

__all__ = ["case", "cases", "document", "hand_in", "problem_handler"]

_WORDS = {400: "The request is not as it should be.", 401: "The token is missing, unknown, ended or revoked.",
          403: "The token may only read.", 404: "There is no such thing, or it is not yours.",
          406: "The answer comes as JSON (a PDF as a PDF), and not as what was asked for.",
          409: "It stands in the way of what is stored, or the same request is being worked on; the answer says what "
               "to do.",
          413: "Too large.", 415: "The body is not of the kind that is read here.",
          422: "The document has faults, and every one is listed; or the Idempotency-Key was used for another request.",
          429: "Too many requests; Retry-After says how long to wait.", 503: "Busy; send it again in a minute."}
ONCE = OpenApiParameter(HEADER, str, OpenApiParameter.HEADER, description=(
    "A new one for each new request, up to 200 signs. The same request with the same key within 24 hours gets the same "
    "answer, and nothing happens twice."))
NUMBER = OpenApiParameter("number", str, OpenApiParameter.PATH, description="The case's number.")


def problems(*statuses: int) -> dict[Any, OpenApiResponse]:
    """Return the problem answers of a view, for the API's description."""
    return {(status, MEDIA_TYPE): OpenApiResponse(ProblemOut, _WORDS[status])
            for status in (400, 401, *statuses, 406, 429)}


class NewestFirst(CursorPagination):
    """Newest first, by a mark in the list and not by counting."""

    ordering = "-id"
    page_size = 50
    page_size_query_param = "size"
    max_page_size = 200
    invalid_cursor_message = "This cursor is none of ours. Start from the first page."

    def decode_cursor(self, request: Request) -> Cursor | None:
        """Return the mark.  One that this API did not make is no mark."""
        cursor = super().decode_cursor(request)
        if cursor is not None and cursor.position is not None and not re.fullmatch("[0-9]{1,18}", cursor.position):
            raise NotFound(self.invalid_cursor_message)
        return cursor

    def get_page_size(self, request: Request) -> int:
        """Return how many are wanted; what is no such number is refused."""
        wanted = request.query_params.get("size", str(self.page_size))
        if not re.fullmatch("[0-9]{1,3}", wanted) or not 1 <= int(wanted) <= self.max_page_size:
            raise ParseError(f"The size is not a number from 1 to {self.max_page_size}.")
        return int(wanted)


PAGE_QUERY = ("cursor", "size")
PAGE = [OpenApiParameter("cursor", description="From 'next' or 'previous' of a page; start without it."),
        OpenApiParameter("size", {"type": "integer", "minimum": 1, "maximum": 200, "default": 50})]


@extend_schema(
    methods=["POST"], operation_id="hand_in_case", summary="Hand in a case", request=JobIn,
    responses={201: CaseOut, 200: OpenApiResponse(CaseOut, "The same job with the same content was handed in before."),
               **problems(400, 403, 409, 413, 415, 422)}, parameters=[ONCE])
@extend_schema(
    methods=["GET"], operation_id="list_cases", summary="List your cases, newest first", responses={
        200: CasePageOut, **problems(400, 404)},
    parameters=[OpenApiParameter("state", enum=Case.State.values), OpenApiParameter("job"), *PAGE])
@shop_view(["GET", "POST"], query=("state", "job", *PAGE_QUERY))
def cases(request: Request) -> Response:
    """Hand in a job (POST), or list your own cases (GET).

    Hand in the same job as often as you like: with the same content it is the same case, answered with 200.  With
    'hand_in' false the case waits for its photos; hand it in afterwards.
    """
    return _hand_in(request) if request.method == "POST" else _listed(request)


@extend_schema(operation_id="read_case", summary="Read how a case stands", responses={200: CaseOut, **problems(404)},
               parameters=[NUMBER])
@shop_view(["GET"])
def case(request: Request, number: str) -> Response:
    """Read how one of your cases stands."""
    return _answer(services.case_for(number=number, shop=request.user))


@extend_schema(operation_id="correct_case", summary="Correct a case while it waits for an answer", request=DocumentIn,
               parameters=[NUMBER],
               responses={200: CaseOut, **problems(400, 403, 404, 409, 413, 415, 422)})
@shop_view(["PUT"])
def document(request: Request, number: str) -> Response:
    """Put a new document in the place of the old one and hand it in.

    Only while the state is 'needs an answer' or 'collecting'.  Sent twice, it does the same as once.
    """
    found = services.case_for(number=number, shop=request.user)
    sent = checked(DocumentIn, request)["document"]
    newest, who = found.current_round, f"shop: {request.user}"
    if not (newest.handed_in_at and newest.document == sent):
        with transaction.atomic():
            services.hand_in(round=services.replace_document(round=newest, document=sent, who=who), who=who)
    return _answer(found)


@extend_schema(operation_id="hand_in_round", summary="Hand in a case that is still collecting", request=None,
               parameters=[NUMBER, ONCE], responses={200: CaseOut, **problems(400, 403, 404, 409, 413, 415, 422)})
@shop_view(["POST"])
def hand_in(request: Request, number: str) -> Response:
    """Hand in the newest round as it stands, photos included.  Sent twice, it does the same as once."""
    found = services.case_for(number=number, shop=request.user)
    services.hand_in(round=found.current_round, who=f"shop: {request.user}")
    return _answer(found)


def own_cases(shop: Shop) -> QuerySet[Case]:
    """Return a shop's cases with the number of their newest round."""
    return Case.objects.filter(shop=shop).annotate(newest_round=Max("rounds__number"))


def _hand_in(request: Request) -> Response:
    sent = checked(JobIn, request)
    try:
        now = sent.pop("hand_in")
        found, fresh = services.hand_in_job(shop=request.user, hand_in_now=now, **sent)
    except services.JobKnown as conflict:
        return problem(409, conflict.problem, mend=conflict.mend, case=conflict.case.number)
    return _answer(found, 201 if fresh else 200)


def _listed(request: Request) -> Response:
    rows, state = own_cases(request.user), request.query_params.get("state", "")
    if state and state not in Case.State.values:
        return problem(400, f"There is no state '{state[:40]}'.", mend=f"One of: {', '.join(Case.State.values)}.")
    if state:
        rows = rows.filter(state=state)
    if job := request.query_params.get("job", "").replace("\x00", ""):
        rows = rows.filter(shop_job=job)
    pages = NewestFirst()
    found = pages.paginate_queryset(rows, request)
    return pages.get_paginated_response([case_shape(each) for each in found])


def checked(shape: type[Serializer], request: Request) -> dict[str, Any]:
    """Return what was sent as ``shape`` reads it; a fault is answered with 400."""
    serializer = shape(data=request.data)
    serializer.is_valid(raise_exception=True)
    return dict(serializer.validated_data)


def _answer(found: Case, status: int = 200) -> Response:
    shown = case_shape(own_cases(found.shop).get(pk=found.pk))
    return Response(shown, status=status, headers={"Location": shown["address"]} if status == 201 else None)
