"""The shop's door: a case's rounds, and the photos that belong to them."""
from __future__ import annotations

import io
from typing import Any

from django.core.files.base import File
from django.http import FileResponse, Http404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from intake import photos as photo_services
from intake import services
from intake.api import NUMBER, ONCE, checked, problems
from intake.api_auth import shop_view
from intake.api_parser import PictureParser, body_of
from intake.api_problems import problem
from intake.api_shapes import NextRoundIn, PhotoOut, RoundOut, RoundWholeOut, photo_shape, round_shape
from intake.errors import Refused
from intake.models import Case, Photo, Round, Shop
from intake.once import mark_of
from intake.photo_making import Busy, add_photo_at_once
from intake.services.rounds import PLACES

PHOTO = OpenApiParameter("photo_id", int, OpenApiParameter.PATH)
WHERE = [
    OpenApiParameter("place", required=True, enum=sorted(PLACES), description="The section or bench test."),
    OpenApiParameter("path", description="The question it belongs to, if it belongs to one."),
    OpenApiParameter("caption", {"type": "string", "maxLength": 200}),
]


@extend_schema(methods=["GET"], operation_id="list_rounds", summary="List a case's rounds", parameters=[NUMBER],
               responses={200: RoundOut(many=True), **problems(404)})
@extend_schema(methods=["POST"], operation_id="open_next_round", summary="Open the next round", request=NextRoundIn,
               parameters=[NUMBER, ONCE],
               responses={201: RoundOut, **problems(400, 403, 404, 409, 413, 415, 422)})
@shop_view(["GET", "POST"])
def rounds(request: Request, number: str) -> Response:
    """List the rounds, first to last; or open the next one once the letter's advice was tried.

    The new round starts from the last one's answers, without bench results and safety signs: those are looked at again.
    Once it is open, the same again puts other words in the place of those before; what is left out or blank stays.
    Then PUT the whole document, which hands it in.
    """
    case = services.case_for(number=number, shop=request.user)
    if request.method == "GET":
        return Response([round_shape(one, case.number) for one in case.rounds.order_by("number").defer("document")])
    sent, who = checked(NextRoundIn, request), f"shop: {request.user}"
    opened = services.open_next_round(case=case, who=who)
    said = {"words": sent["changes"] or None, "done": sent["done"] or None}  # asked again, it takes nothing back
    opened = services.save_changes(round=opened, **said, who=who)
    shown = round_shape(opened, case.number)
    return Response(shown, status=201, headers={"Location": shown["address"]})


@extend_schema(operation_id="read_round", summary="Read a round with its answers and photos",
               parameters=[NUMBER, OpenApiParameter("round_number", int, OpenApiParameter.PATH)],
               responses={200: RoundWholeOut, **problems(404)})
@shop_view(["GET"])
def round_whole(request: Request, number: str, round_number: int) -> Response:
    """Read a round: its answers as they were typed, and its photos."""
    case = services.case_for(number=number, shop=request.user)
    found = case.rounds.filter(number=round_number).first()
    if found is None:
        raise Http404("There is no such round.")
    return Response(round_shape(found, case.number) | {
        "document": found.document, "photos": _photos(found, case.number)})


@extend_schema(methods=["GET"], operation_id="list_photos", summary="List the newest round's photos",
               parameters=[NUMBER], responses={200: PhotoOut(many=True), **problems(404)})
@extend_schema(methods=["POST"], operation_id="add_photo", summary="Add a photo to the newest round",
               request={"image/jpeg": OpenApiTypes.BINARY, "image/png": OpenApiTypes.BINARY},
               parameters=[NUMBER, ONCE, *WHERE],
               responses={201: PhotoOut, **problems(400, 403, 404, 409, 413, 415, 422, 503)})
@shop_view(["GET", "POST"], query=("place", "path", "caption"), parser=PictureParser)
def photos(request: Request, number: str) -> Response:
    """List the photos of the newest round, or add one while the round is open for answers.

    The picture is the whole body.  A fresh image is made from its pixels; nothing else that the file held is kept.
    """
    case = services.case_for(number=number, shop=request.user)
    newest = case.current_round
    if request.method == "GET":
        return Response(_photos(newest, case.number))
    return _added(request, case, newest)


@extend_schema(methods=["GET"], operation_id="read_photo", summary="Read a photo", parameters=[NUMBER, PHOTO],
               responses={(200, "image/jpeg"): OpenApiResponse(OpenApiTypes.BINARY, "The picture."), **problems(404)})
@extend_schema(methods=["DELETE"], operation_id="remove_photo", summary="Take a photo away", parameters=[NUMBER, PHOTO],
               responses={204: OpenApiResponse(None, "It is gone."), **problems(403, 404, 409)})
@shop_view(["GET", "DELETE"])
def photo(request: Request, number: str, photo_id: int) -> Response | FileResponse:
    """Read a photo, or take it away while its round is open for answers."""
    found = photo_of(request.user, number, photo_id)
    if request.method == "DELETE":
        photo_services.remove_photo(photo=found, who=f"shop: {request.user}")
        return Response(status=204)
    return photo_file(found)


def photo_of(shop: Shop, number: str, photo_id: int) -> Photo:
    """Return a photo of one of the shop's cases.  Raises ``Http404`` for any other."""
    case = services.case_for(number=number, shop=shop)
    found = Photo.objects.filter(pk=photo_id, round__case=case).select_related("round").first()
    if found is None:
        raise Http404("There is no such photo.")
    return found


def photo_file(photo: Photo) -> FileResponse:
    """Return the picture.  Raises ``Http404`` where its file is gone."""
    try:
        return FileResponse(photo.file.open("rb"), content_type="image/jpeg", headers={"Cache-Control": "private"})
    except FileNotFoundError:
        raise Http404("The photo is gone.") from None


def _photos(round: Round, number: str) -> list[dict[str, Any]]:
    return [photo_shape(one, number) for one in round.photos.select_related("round").order_by("id")]


def _added(request: Request, case: Case, newest: Round) -> Response:
    asked = {name: request.query_params.get(name, "").replace("\x00", "") for name in ("place", "path", "caption")}
    picture = body_of(request)
    if asked["place"] not in PLACES:
        raise Refused(f"There is no page '{asked['place'][:80]}'." if asked["place"] else "It is not said where the "
                      "photo belongs.", f"Put its section or bench test into the address: '?place=…', one of "
                      f"{', '.join(sorted(PLACES))}.")
    try:
        made = add_photo_at_once(round=newest, upload=File(io.BytesIO(picture), name="photo"),
                                 who=f"shop: {request.user}", token=mark_of(request), **asked)
    except Busy as busy:
        return problem(503, busy.problem, mend=busy.mend, headers={"Retry-After": "30"})
    shown = photo_shape(made, case.number)
    return Response(shown, status=201, headers={"Location": shown["address"]})
