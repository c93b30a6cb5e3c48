"""The shop's door, reading side: what was found, and the approved letter."""
from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from analysis.findings_schema import findings_schema
from intake.access import case_for
from intake.api import NUMBER, problems
from intake.api_auth import shop_view
from intake.api_problems import problem
from intake.api_shapes import as_component
from intake.models import Case
from reports import markup
from reports.approved import approved_letter, outvoted, pdf_response
from reports.models import Draft, Letter
from reports.services import text_of

ROUND = OpenApiParameter("round", {"type": "integer", "minimum": 1}, description=(
    "The round's number; the newest one with a letter if left out."))


class FindingsField(serializers.JSONField):
    """A findings document, as the engine made it."""


class FindingsFieldSchema(OpenApiSerializerFieldExtension):
    """The findings document's own JSON Schema as one component of the API's description."""

    target_class = FindingsField
    component = "FindingsDocument"

    def map_serializer_field(self, auto_schema: Any, direction: Any) -> Any:
        """Register the component and refer to it."""
        return as_component(auto_schema, self.component, FindingsField, findings_schema())


class FindingsOut(serializers.Serializer):
    """What the engine found.  A tuner's letter, not this, is the advice to follow."""

    number = serializers.CharField()
    round = serializers.IntegerField()
    engine = serializers.CharField(help_text="The engine's version.")
    up_to_date = serializers.BooleanField(help_text="Made from the answers as they are now.")
    approved = serializers.BooleanField(help_text="A tuner has approved a letter on these findings.")
    findings = FindingsField(help_text="The findings document; its field 'schema' is its version.")


class LetterOut(serializers.Serializer):
    """An approved letter."""

    number = serializers.CharField()
    round = serializers.IntegerField()
    approved_at = serializers.DateTimeField()
    approved_by = serializers.CharField()
    text = serializers.CharField(help_text="The words, with the letter's few marks: ## headings, lists, **bold**.")
    html = serializers.CharField(help_text="The same words as HTML.")
    content_sha256 = serializers.CharField(help_text="Over the words, findings and figures that were approved.")
    pdf = serializers.CharField(help_text="Where the PDF is read.")


@extend_schema(operation_id="read_findings", summary="Read what was found", parameters=[NUMBER],
               responses={200: FindingsOut, **problems(404)})
@shop_view(["GET"])
def findings(request: Request, number: str) -> Response:
    """Read what the engine found in the case's newest drafted answers.

    Not advice yet: a tuner checks it, and may see it otherwise.  Follow the approved letter.
    """
    case = case_for(number=number, shop=request.user)
    draft = Draft.objects.filter(round__case=case).select_related("round").order_by("-round__number", "-pk").first()
    if draft is None:
        return problem(404, "There are no findings yet.", mend=wait_words(case))
    return Response({
        "number": case.number, "round": draft.round.number, "engine": draft.engine_version,
        "up_to_date": draft.revision == draft.round.revision and draft.round == case.current_round,
        "approved": Letter.objects.filter(draft=draft, approved_at__isnull=False).exists(),
        "findings": draft.findings,
    })


@extend_schema(operation_id="read_letter", summary="Read the approved letter", parameters=[NUMBER, ROUND],
               responses={200: LetterOut, **problems(404)})
@shop_view(["GET"], query=("round",))
def letter(request: Request, number: str) -> Response:
    """Read the approved letter."""
    case = case_for(number=number, shop=request.user)
    found = approved_letter(case, request.query_params.get("round", ""))
    if found is None or outvoted(found):
        return _no_letter(case)
    words = text_of(letter=found, version=found.approved_version)
    return Response({
        "number": case.number, "round": found.round.number, "approved_at": found.approved_at,
        "approved_by": found.approved_by.get_full_name() or found.approved_by.get_username(),
        "text": words, "html": markup.html(words), "content_sha256": found.content_hash,
        "pdf": f"{reverse('api-letter-pdf', args=[case.number])}?round={found.round.number}",
    })


@extend_schema(operation_id="read_letter_pdf", summary="Read the approved letter as PDF", parameters=[NUMBER, ROUND],
               responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The PDF as approved."),
                          **problems(404)})
@shop_view(["GET"], query=("round",))
def letter_pdf(request: Request, number: str) -> Response | HttpResponse:
    """Read the approved letter as PDF, with its figures."""
    case = case_for(number=number, shop=request.user)
    found = approved_letter(case, request.query_params.get("round", ""))
    return pdf_response(found) if found and not outvoted(found) else _no_letter(case)


def _no_letter(case: Case) -> Response:
    if case.stop:
        return problem(404, "A safety sign says: do not ride. No letter says how to go on yet.",
                       mend="Keep the bike standing. The sign is in the findings.")
    return problem(404, "There is no approved letter.", mend=wait_words(case))


def wait_words(case: Case) -> str:
    """Return where to see how the case stands."""
    return f"The state of case {case.number} is '{case.state}'; read it at {reverse('api-case', args=[case.number])}."
