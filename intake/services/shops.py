"""Shops and their keys to the API."""
from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from intake.errors import Refused
from intake.models import Shop, ShopToken
from intake.services.starting import checked_email
from intake.tokens import hash_token, new_token

SCOPES = ("read", "hand in")


def new_shop_token(*, shop_name: str, name: str, scope: str = "hand in", email: str = "") -> str:
    """Make a token for a shop, and the shop where it is new; return the token.  It cannot be seen again.

    Raises ``Refused`` for an empty name, an unknown scope, and where a good token has this name already.
    """
    shop_name, name = " ".join(shop_name.split())[:120], " ".join(name.split())[:60]
    if not shop_name or not name or scope not in SCOPES:
        raise Refused("A token needs a shop, a name and a scope.", "The scope is 'read' or 'hand in'.")
    token = new_token()
    with transaction.atomic():
        shop, _ = Shop.objects.get_or_create(name=shop_name, defaults={"email": checked_email(email)})
        if shop.tokens.filter(name=name, revoked_at__isnull=True).exists():
            raise Refused(f"{shop_name} has a token '{name}' already.", "Give another name, or revoke that one first.")
        ShopToken.objects.create(shop=shop, name=name, scope=scope, token_hash=hash_token(token))
    return token


def revoke_shop_token(*, shop_name: str, name: str) -> None:
    """Revoke a shop's token by its name.  Raises ``Refused`` where there is no such token."""
    good = ShopToken.objects.filter(shop__name=shop_name, name=name, revoked_at__isnull=True)
    if not good.update(revoked_at=timezone.now()):
        raise Refused(f"{shop_name} has no token '{name}' to revoke.", "Look at the names of the shop and the token.")
