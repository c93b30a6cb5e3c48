"""The shop's key: hashed token, scope, throttle, and the one way in for every API view."""
from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.decorators import (
    api_view,
    authentication_classes,
    parser_classes,
    permission_classes,
    throttle_classes,
)
from rest_framework.exceptions import AuthenticationFailed, ParseError, PermissionDenied
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle

from intake.api_parser import CaseFileParser
from intake.models import Shop, ShopToken
from intake.once import answered_once
from intake.reads import note_answer
from intake.services.shops import good_tokens, note_use
from intake.tokens import hash_token

SCHEMES = ("token", "bearer")
HAND_IN = "hand in"


class ShopTokenAuthentication(BaseAuthentication):
    """``Authorization: Token …`` or ``Bearer …``; ``request.user`` is the shop, ``request.auth`` its token."""

    def authenticate(self, request: Request) -> tuple[Shop, ShopToken]:
        """Return the shop and its token; whoever has none is told how to send one."""
        scheme, _, token = request.headers.get("Authorization", "").strip().partition(" ")
        if scheme.lower() not in SCHEMES or not token.strip():
            raise AuthenticationFailed("Send your shop's token: 'Authorization: Token …'.")
        found = good_tokens().select_related("shop").filter(token_hash=hash_token(token.strip())).first()
        if found is None:
            raise AuthenticationFailed("This token is not known or was revoked. Ask for a new one.")
        note_use(token=found)
        return found.shop, found

    def authenticate_header(self, request: Request) -> str:
        """Name the scheme, so that a missing token is answered with 401."""
        return "Token"


class TokenThrottle(SimpleRateThrottle):
    """So many requests a minute for each token, so that one shop's loop does not slow the others."""

    scope = "shop"
    rate = "240/min"

    def get_cache_key(self, request: Request, view: Any) -> str:
        """Count by token."""
        return self.cache_format % {"scope": self.scope, "ident": request.auth.pk}


class ShopDoor:
    """Permission: a shop with a good token; handing in needs more than the scope to read."""

    def has_permission(self, request: Request, view: Any) -> bool:
        """Let reading through with any token, and writing with the scope to hand in."""
        if request.method in ("GET", "HEAD", "OPTIONS") or request.auth.scope == HAND_IN:
            return True
        raise PermissionDenied("This token may only read. Use a token with the scope 'hand in'.")


class AnyScope:
    """Permission: a shop with a good token, whatever its scope."""

    def has_permission(self, request: Request, view: Any) -> bool:
        """Let everybody through who came in at all."""
        return True


class ShopTokenScheme(OpenApiAuthenticationExtension):
    """How the API's description words the token."""

    target_class = ShopTokenAuthentication
    name = "shopToken"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """Describe the header."""
        return {"type": "apiKey", "in": "header", "name": "Authorization",
                "description": "The word Token and a blank before the shop's token; the word Bearer is taken too."}


def shop_view(
    methods: list[str], *, query: tuple[str, ...] = (), parser: type[BaseParser] = CaseFileParser,
    any_scope: bool = False,
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Make a plain function into an API view behind the shop's door: ``request.user`` is the shop.

    ``query`` names what may stand behind the question mark; anything else there is a slip of the pen and told so.  A
    POST with an Idempotency-Key is answered once.  ``any_scope``: writing here needs no more than a good token, and is
    about that token alone.
    """

    def dress(view: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(view)
        def once(request: Request, **named: Any) -> Any:
            if strange := sorted(set(request.query_params) - set(query)):
                raise ParseError(f"There is no query parameter '{strange[0][:40]}' here.")
            if request.method == "POST":
                return answered_once(request, lambda: view(request, **named), by_token=any_scope)
            answer = view(request, **named)
            note_answer(request, answer, named, token_id=request.auth.pk)
            return answer

        dressed: Callable[..., Any] = once
        for decorator in (
            permission_classes([AnyScope if any_scope else ShopDoor]), throttle_classes([TokenThrottle]),
            parser_classes([parser]), authentication_classes([ShopTokenAuthentication]),
        ):
            dressed = decorator(dressed)
        return api_view(methods)(dressed)

    return dress
