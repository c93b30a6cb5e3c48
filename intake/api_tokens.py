"""The shop's door: its own tokens, seen, replaced and revoked."""
from __future__ import annotations

from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from intake import services
from intake.api import ONCE, checked, problems
from intake.api_auth import shop_view
from intake.api_shapes import NewTokenOut, RotateIn, TokenOut, token_shape
from intake.once import fresh_salt
from intake.services.shops import good_tokens


@extend_schema(operation_id="list_tokens", summary="List your shop's tokens",
               responses={200: TokenOut(many=True), **problems()})
@shop_view(["GET"])
def tokens(request: Request) -> Response:
    """List the tokens that open the door, with when each was last used."""
    found = good_tokens().filter(shop=request.user).order_by("id")
    return Response([token_shape(token, request.auth) for token in found])


@extend_schema(operation_id="rotate_token", summary="Put a new token in the place of this one", request=RotateIn,
               parameters=[ONCE], responses={201: NewTokenOut, **problems(400, 409, 413, 415, 422)})
@shop_view(["POST"], any_scope=True)
def rotate(request: Request) -> Response:
    """Make a new token of the same name and scope.  It is shown in this answer alone.

    The token that was sent with the request ends after the overlap; until then both open the door.
    """
    sent = checked(RotateIn, request)
    secret, made = services.rotate_shop_token(token=request.auth, salt=fresh_salt(request), **sent)
    shown = token_shape(made, request.auth) | {"token": secret, "old_ends_at": request.auth.ends_at}
    return Response(shown, status=201)


@extend_schema(operation_id="revoke_token", summary="Revoke a token at once",
               parameters=[OpenApiParameter("token_id", int, OpenApiParameter.PATH)],
               responses={204: OpenApiResponse(None, "It opens nothing any more."), **problems(403, 404)})
@shop_view(["DELETE"])
def token(request: Request, token_id: int) -> Response:
    """Revoke one of the shop's tokens, this one included.  A second time changes nothing."""
    services.revoke_token(shop=request.user, token_id=token_id)
    return Response(status=204)
