"""Shops, their keys to the API, and who signs in for them."""
from __future__ import annotations

import contextlib
from datetime import datetime, timedelta

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser
from django.db import IntegrityError, transaction
from django.db.models import Q, QuerySet
from django.http import Http404
from django.utils import timezone

from intake.errors import Refused
from intake.models import Shop, ShopToken, ShopUser
from intake.services.starting import checked_email
from intake.shown_once import AGAIN
from intake.tokens import hash_token, new_token, secret_from

SCOPES = ("read", "hand in")
LONGEST_OVERLAP = 168
"""Hours that an old token may live on beside its new one."""
USED_TO_THE = timedelta(minutes=1)


def good_tokens() -> QuerySet[ShopToken]:
    """Return the tokens that still open the door."""
    lasting = Q(ends_at__isnull=True) | Q(ends_at__gt=timezone.now())
    return ShopToken.objects.filter(lasting, revoked_at__isnull=True)


def new_shop_token(*, shop_name: str, name: str, scope: str = "hand in", email: str = "") -> str:
    """Make a token for a shop, and the shop where it is new; return the token.  It cannot be seen again.

    Raises ``Refused`` for an empty name, an unknown scope, and where a good token has this name already.
    """
    shop_name = " ".join(shop_name.split())[:120]
    if not shop_name or not name.strip() or scope not in SCOPES:
        raise Refused("A token needs a shop, a name and a scope.", "The scope is 'read' or 'hand in'.")
    with transaction.atomic():
        return add_shop_token(shop=named_shop(shop_name=shop_name, email=email), name=name, scope=scope)


def named_shop(*, shop_name: str, email: str = "") -> Shop:
    """Return the shop of this name, made where it is new.  Raises ``Refused`` for an empty name."""
    shop_name = " ".join(shop_name.replace("\x00", "").split())[:120]
    if not shop_name:
        raise Refused("The shop has no name.", "Write the name that its letters and jobs carry.")
    return Shop.objects.get_or_create(name=shop_name, defaults={"email": checked_email(email)})[0]


def add_shop_token(*, shop: Shop, name: str, scope: str = "hand in", salt: str = "") -> str:
    """Make a further token for a shop; return it.  It cannot be seen again; the same ``salt`` makes the same one."""
    token = secret_from(salt or new_token())
    same = good_tokens().filter(shop=shop, token_hash=hash_token(token), created_at__gt=timezone.now() - AGAIN)
    if same.exists():
        return token
    name = " ".join(name.replace("\x00", "").split())[:60]
    if not name or scope not in SCOPES:
        raise Refused("A token needs a name and a scope.", "The scope is 'read' or 'hand in'.")
    if good_tokens().filter(shop=shop, name=name).exists():
        raise Refused(f"{shop} has a token '{name}' already.", "Give another name, or revoke that one first.")
    with contextlib.suppress(IntegrityError), transaction.atomic():  # the other half of a doubled click was quicker
        ShopToken.objects.create(shop=shop, name=name, scope=scope, token_hash=hash_token(token))
    return token


def rotate_shop_token(*, token: ShopToken, overlap_hours: int, salt: str = "") -> tuple[str, ShopToken]:
    """Put a new token in the place of ``token``; return it and its row.

    Both open the door for ``overlap_hours``, so that a program can be told the new one at its leisure; then the old one
    ends.  With the same ``salt`` again it is the same new one.  Raises ``Refused`` where the token has been replaced
    already, and for an overlap that is too long.
    """
    if not 0 <= overlap_hours <= LONGEST_OVERLAP:
        raise Refused("The overlap is too long." if overlap_hours > 0 else "The overlap is less than nothing.",
                      f"Say how many hours the old token lives on: 0 to {LONGEST_OVERLAP}.")
    ends_at = timezone.now() + timedelta(hours=overlap_hours)
    secret = secret_from(salt or new_token())
    with transaction.atomic():
        old = good_tokens().filter(pk=token.pk, ends_at__isnull=True)
        if not old.update(ends_at=ends_at):
            before = good_tokens().filter(shop=token.shop, token_hash=hash_token(secret)).first()
            if before is not None:  # its process died before it could answer, or this is the second half of a click
                return secret, before
            raise Refused(f"The token '{token.name}' has been replaced or revoked already.",
                          "Use the new one, or ask for another.")
        made = ShopToken.objects.create(shop=token.shop, name=token.name, scope=token.scope,
                                        token_hash=hash_token(secret))
    token.ends_at = ends_at
    return secret, made


def revoke_token(*, shop: Shop, token_id: int) -> None:
    """Revoke one of the shop's tokens at once; a second time changes nothing.  Raises ``Http404`` for another's."""
    if not ShopToken.objects.filter(pk=token_id, shop=shop).exists():
        raise Http404("There is no such token.")
    ShopToken.objects.filter(pk=token_id, shop=shop, revoked_at__isnull=True).update(revoked_at=timezone.now())


def token_of(*, shop: Shop, token_id: int) -> ShopToken:
    """Return one of the shop's tokens.  Raises ``Http404`` for another's."""
    found = ShopToken.objects.filter(pk=token_id, shop=shop).select_related("shop").first()
    if found is None:
        raise Http404("There is no such token.")
    return found


def revoke_shop_token(*, shop_name: str, name: str) -> None:
    """Revoke a shop's token by its name.  Raises ``Refused`` where there is no such token."""
    if not good_tokens().filter(shop__name=shop_name, name=name).update(revoked_at=timezone.now()):
        raise Refused(f"{shop_name} has no token '{name}' to revoke.", "Look at the names of the shop and the token.")


def note_use(*, token: ShopToken) -> None:
    """Note that a token was used, to the minute: a busy program does not write with every question it asks."""
    now: datetime = timezone.now()
    if token.last_used_at is None or token.last_used_at < now - USED_TO_THE:
        ShopToken.objects.filter(pk=token.pk).update(last_used_at=now)


def new_shop_user(*, shop: Shop, username: str, salt: str = "") -> str:
    """Make a sign-in for somebody of the shop; return its password, which cannot be seen again.

    With the same ``salt`` it is the same one.
    Raises ``Refused`` where the name is empty or taken.
    """
    username = username.replace("\x00", "").strip()[:150]
    if not username:
        raise Refused("The sign-in has no name.", "Write one, such as the person's first name and the shop's.")
    password = secret_from(salt or new_token())[:20]
    try:
        with transaction.atomic():
            user = get_user_model().objects.create_user(username, password=password)
            ShopUser.objects.create(user=user, shop=shop)
    except IntegrityError:
        if not _was_just_made(shop, username, password):
            raise Refused(f"There is a sign-in '{username}' already.", "Pick another name.") from None
    return password


def _was_just_made(shop: Shop, username: str, password: str) -> bool:
    """Tell whether a doubled click made this very sign-in a moment ago."""
    made = get_user_model().objects.filter(
        username=username, shop_user__shop=shop, date_joined__gt=timezone.now() - AGAIN).first()
    return made is not None and made.check_password(password)


def end_shop_user(*, shop: Shop, username: str) -> None:
    """Switch a shop's sign-in off.  Raises ``Refused`` where the shop has none of that name."""
    if not get_user_model().objects.filter(username=username, shop_user__shop=shop).update(is_active=False):
        raise Refused(f"{shop} has no sign-in '{username}'.", "Look at the list of its sign-ins.")


def shop_of(*, user: AbstractUser) -> Shop | None:
    """Return the shop that a signed-in person belongs to; None for a tuner or a stranger."""
    if not user.is_authenticated or not user.is_active:
        return None
    found = ShopUser.objects.select_related("shop").filter(user=user).first()
    return found.shop if found else None
