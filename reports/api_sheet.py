"""The shop's door, reading side: the workshop's service sheet, as numbers in words and on paper."""
from __future__ import annotations

from django.http import HttpResponse
from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from intake.access import case_for
from intake.api import NUMBER, problems
from intake.api_auth import shop_view
from intake.api_problems import problem
from reports.api import ROUND, wait_words
from reports.shop_sheet import shop_sheet


class AmountOut(serializers.Serializer):
    """One amount for each leg, with its give or take."""

    what = serializers.CharField()
    left = serializers.CharField()
    right = serializers.CharField()


class ServiceSheetOut(serializers.Serializer):
    """What to do on the bench.  Torques are left blank on purpose: they come from the bike's own manual."""

    number = serializers.CharField()
    job = serializers.CharField()
    round = serializers.IntegerField()
    approved_at = serializers.DateTimeField()
    note = serializers.CharField()
    condition = serializers.CharField(help_text="How the leg stands when a level is read.")
    work = serializers.ListField(child=serializers.CharField(), help_text=(
        "What the letter asks for, step by step, where that is not the oil, else empty. Amounts and order then count "
        "once the legs are opened."))
    amounts = AmountOut(many=True)
    order = serializers.ListField(child=serializers.CharField(), help_text="The order of work.")
    joints = serializers.ListField(child=serializers.CharField(), help_text="To be tightened to your manual.")
    after = serializers.ListField(child=serializers.CharField(), help_text="What to check afterwards.")
    measured = serializers.ListField(child=serializers.CharField(), help_text="To be measured before and after.")
    pdf = serializers.CharField(help_text="Where the sheet on paper is read.")


@extend_schema(operation_id="read_service_sheet", summary="Read the service sheet", parameters=[NUMBER, ROUND],
               responses={200: ServiceSheetOut, **problems(404)})
@shop_view(["GET"], query=("round",))
def sheet(request: Request, number: str) -> Response:
    """Read the service sheet of an approved letter, in the language that Accept-Language asks for."""
    case = case_for(number=number, shop=request.user)
    found, why = shop_sheet(case, request.query_params.get("round", ""))
    if found is None:
        return problem(404, why, mend=wait_words(case))
    data, round = found.data, found.letter.round.number
    return Response({
        "number": case.number, "job": case.shop_job, "round": round, "approved_at": found.letter.approved_at,
        "work": [data["work"]["title"], *data["work"]["steps"]] if data["work"] else [],
        "amounts": [dict(zip(("what", "left", "right"), row, strict=True)) for row in data["amounts"]],
        **{key: data[key] for key in ("note", "condition", "order", "joints", "after", "measured")},
        "pdf": f"{reverse('api-service-sheet-pdf', args=[case.number])}?round={round}",
    })


@extend_schema(operation_id="read_service_sheet_pdf", summary="Read the service sheet as PDF",
               parameters=[NUMBER, ROUND],
               responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The sheet."),
                          **problems(404)})
@shop_view(["GET"], query=("round",))
def sheet_pdf(request: Request, number: str) -> Response | HttpResponse:
    """Read the service sheet on paper: boxes to tick, blanks to fill, your job number on it."""
    case = case_for(number=number, shop=request.user)
    found, why = shop_sheet(case, request.query_params.get("round", ""))
    if found is None:
        return problem(404, why, mend=wait_words(case))
    return HttpResponse(found.pdf(), content_type="application/pdf", headers={"Cache-Control": "private, no-store"})
