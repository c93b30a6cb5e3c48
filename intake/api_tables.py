"""The shop's door: many jobs in one table, checked first and made into cases on the shop's word."""
from __future__ import annotations

from typing import Any

from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from intake import services
from intake.api import ONCE, PAGE, PAGE_QUERY, NewestFirst, problems
from intake.api_auth import shop_view
from intake.api_parser import TableParser, body_of
from intake.api_problems import problem
from intake.errors import Refused
from intake.models import JobTable
from intake.services.tables import FAULTY, GOOD, KNOWN, MADE, OTHER, counts

TABLE = OpenApiParameter("table_id", int, OpenApiParameter.PATH)
ROW_STATES = (GOOD, FAULTY, KNOWN, OTHER, MADE)


class CellFaultOut(serializers.Serializer):
    """What is wrong in one cell."""

    line = serializers.IntegerField(help_text="Its line in the file, from 1.")
    column = serializers.CharField()
    value = serializers.CharField()
    problem = serializers.CharField()
    mend = serializers.CharField()


class RowOut(serializers.Serializer):
    """One line of the table."""

    line = serializers.IntegerField()
    job = serializers.CharField()
    state = serializers.ChoiceField(choices=ROW_STATES)
    case = serializers.CharField(help_text="The case's number, once there is one.")
    faults = CellFaultOut(many=True)


class TableOut(serializers.Serializer):
    """A table that was sent."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    state = serializers.ChoiceField(choices=JobTable.State.choices)
    created_at = serializers.DateTimeField()
    confirmed_at = serializers.DateTimeField(allow_null=True)
    counts = serializers.DictField(child=serializers.IntegerField(), help_text="How many rows are in each state.")
    notes = serializers.ListField(child=serializers.CharField(), help_text="What is to be said of the whole file.")
    address = serializers.CharField()


class TableWholeOut(TableOut):
    """A table with every row."""

    rows = RowOut(many=True)


class TablePageOut(serializers.Serializer):
    """A page of tables, newest first."""

    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)
    results = TableOut(many=True)


@extend_schema(methods=["GET"], operation_id="list_tables", summary="List the tables you sent", parameters=PAGE,
               responses={200: TablePageOut, **problems(400, 404)})
@extend_schema(methods=["POST"], operation_id="check_table", summary="Send a table of jobs",
               request={"text/csv": OpenApiTypes.STR}, parameters=[
                   ONCE, OpenApiParameter("name", {"type": "string", "maxLength": 120}, description="The file's name."),
                   OpenApiParameter("dry_run", bool, description="Only check it; it can never be confirmed.")],
               responses={201: TableWholeOut, **problems(400, 403, 409, 413, 415, 422)})
@shop_view(["GET", "POST"], query=("name", "dry_run", *PAGE_QUERY), parser=TableParser)
def tables(request: Request) -> Response:
    """List your tables, or send one.  It is checked, and nothing else happens until you confirm it.

    The first line names the columns: job, rider_name, rider_email, title, notes, and questions by their path in the
    case document, such as bike.mass_kg. Commas, semicolons or tabs stand between; the letters are UTF-8.
    """
    if request.method == "GET":
        return _listed(request)
    asked = request.query_params
    dry = asked.get("dry_run", "false")
    if dry not in ("true", "false"):
        return problem(400, "dry_run is neither true nor false.", mend="Write dry_run=true, or leave it out.")
    try:
        made = services.check_table(shop=request.user, data=body_of(request), name=asked.get("name", ""),
                                    who=f"shop: {request.user}", dry_run=dry == "true")
    except Refused as refused:
        return problem(422, refused.problem, mend=refused.mend)
    shown = _whole(made)
    return Response(shown, status=201, headers={"Location": shown["address"]})


@extend_schema(operation_id="read_table", summary="Read what is said about a table", parameters=[TABLE],
               responses={200: TableWholeOut, **problems(404)})
@shop_view(["GET"])
def table(request: Request, table_id: int) -> Response:
    """Read the report: for every bad cell its line, column and value, what is wrong, and what to do."""
    return Response(_whole(services.table_of(shop=request.user, table_id=table_id)))


@extend_schema(operation_id="confirm_table", summary="Make cases of a table's good rows", request=None,
               parameters=[TABLE, ONCE], responses={200: TableWholeOut, **problems(400, 403, 404, 409, 415, 422)})
@shop_view(["POST"])
def confirm(request: Request, table_id: int) -> Response:
    """Hand in every good row.  Sent twice, it does the same as once; bad rows are left."""
    found = services.table_of(shop=request.user, table_id=table_id)
    return Response(_whole(services.confirm_table(table=found)))


def _listed(request: Request) -> Response:
    pages = NewestFirst()
    found = pages.paginate_queryset(JobTable.objects.filter(shop=request.user), request)
    return pages.get_paginated_response([_shown(each) for each in found])


def _shown(table: JobTable) -> dict[str, Any]:
    return {"id": table.pk, "name": table.name, "state": table.state, "created_at": table.created_at,
            "confirmed_at": table.confirmed_at, "counts": counts(table), "notes": table.notes,
            "address": reverse("api-table", args=[table.pk])}


def _whole(table: JobTable) -> dict[str, Any]:
    names = ("line", "job", "state", "case", "faults")
    return _shown(table) | {"rows": [{name: row[name] for name in names} for row in table.rows]}
